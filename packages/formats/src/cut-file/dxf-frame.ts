/**
 * What a DXF file of release 2000 (AC1015) needs around its entities: header, tables, blocks and objects, with the
 * group codes of the published DXF Reference. Millimetres throughout. Only ASCII is written, so the code page of a
 * reader does not matter.
 */
import type { Bounds } from '@inlaywright/geometry';
import { CUT_ROLES } from './roles.ts';

/** Group code and value by turns. */
export type Tag = number | string;

/** Application name under which the lines carry their part, and name of the dictionary entry of the record. */
export const DXF_APPLICATION = 'INLAYWRIGHT';
export const DXF_RECORD = 'INLAYWRIGHT_CUT_RECORD';

/** Handles are hexadecimal and unique in the file; those under 100 hex are the frame's. */
const HANDLE = {
  blockRecords: '1',
  layers: '2',
  styles: '3',
  linetypes: '5',
  views: '6',
  coordinateSystems: '7',
  viewports: '8',
  applications: '9',
  dimensionStyles: 'A',
  root: 'C',
  groups: 'D',
  layouts: '1A',
  modelRecord: '1F',
  modelBegin: '20',
  modelEnd: '21',
  modelLayout: '22',
  paperRecord: '23',
  paperBegin: '24',
  paperEnd: '25',
  paperLayout: '26',
  plotStyles: '27',
  plotNormal: '28',
  byBlock: '30',
  byLayer: '31',
  continuous: '32',
  layerZero: '33',
  firstLayer: 0x34,
  standardStyle: '40',
  viewport: '41',
  acad: '42',
  application: '43',
  dimensionStyle: '44',
  record: '45',
} as const;
export const MODEL_SPACE: string = HANDLE.modelRecord;
export const FIRST_ENTITY_HANDLE = 0x100;

/** Longest string of a tag; the format allows 255 bytes in extended data. */
const RECORD_CHUNK = 250;

/** Two lines a tag: code, value. A whole number under a code of real numbers (10 to 59, 140 to 149) gets its `.0`. */
export function tagLines(tags: readonly Tag[]): string {
  let text = '';
  for (let i = 0; i < tags.length; i += 2) {
    const code = tags[i] as number;
    const value = tags[i + 1]!;
    text += `${code}\n${typeof value === 'number' && isRealCode(code) ? realText(value) : value}\n`;
  }
  return text;
}

function isRealCode(code: number): boolean {
  return (code >= 10 && code <= 59) || (code >= 140 && code <= 149);
}

/** A real number in plain decimals. Values come rounded; nothing under 1e-12 occurs but zero. */
export function realText(value: number): string {
  if (Number.isInteger(value)) return `${value}.0`;
  return Math.abs(value) < 1e-6 ? value.toFixed(12) : String(value);
}

export function section(name: string, body: string): string {
  return `0\nSECTION\n2\n${name}\n${body}0\nENDSEC\n`;
}

/** Header variables. `$LIMMIN` and `$LIMMAX` are the sheet, `$EXTMIN` and `$EXTMAX` what is drawn on it. */
export function headerSection(
  widthMm: number,
  heightMm: number,
  extents: Bounds,
  nextHandle: number,
): string {
  return section(
    'HEADER',
    tagLines([
      ...[9, '$ACADVER', 1, 'AC1015'],
      ...[9, '$DWGCODEPAGE', 3, 'ANSI_1252'],
      ...[9, '$INSBASE', 10, 0, 20, 0, 30, 0],
      ...[9, '$EXTMIN', 10, extents.minX, 20, extents.minY, 30, 0],
      ...[9, '$EXTMAX', 10, extents.maxX, 20, extents.maxY, 30, 0],
      ...[9, '$LIMMIN', 10, 0, 20, 0],
      ...[9, '$LIMMAX', 10, widthMm, 20, heightMm],
      ...[9, '$CLAYER', 8, '0'],
      ...[9, '$LUNITS', 70, 2],
      ...[9, '$LUPREC', 70, 6],
      ...[9, '$HANDSEED', 5, nextHandle.toString(16).toUpperCase()],
      ...[9, '$MEASUREMENT', 70, 1],
      ...[9, '$INSUNITS', 70, 4],
    ]),
  );
}

export function tablesSection(widthMm: number, heightMm: number): string {
  const linetype = (handle: string, name: string, description: string): Tag[] =>
    record('LTYPE', handle, HANDLE.linetypes, 'AcDbLinetypeTableRecord', name, [
      3,
      description,
      72,
      65,
      73,
      0,
      40,
      0,
    ]);
  const layers = CUT_ROLES.flatMap((entry, i) =>
    layer(
      (HANDLE.firstLayer + i).toString(16).toUpperCase(),
      entry.layer,
      entry.layerColour,
      lineWeight(entry.line.widthMm),
    ),
  );
  const space = (handle: string, name: string, layout: string): Tag[] =>
    record('BLOCK_RECORD', handle, HANDLE.blockRecords, 'AcDbBlockTableRecord', name, [340, layout], false);
  const application = (handle: string, name: string): Tag[] =>
    record('APPID', handle, HANDLE.applications, 'AcDbRegAppTableRecord', name, []);
  return section(
    'TABLES',
    tagLines([
      ...table('VPORT', HANDLE.viewports, 1, viewport(widthMm, heightMm)),
      ...table('LTYPE', HANDLE.linetypes, 3, [
        ...linetype(HANDLE.byBlock, 'ByBlock', ''),
        ...linetype(HANDLE.byLayer, 'ByLayer', ''),
        ...linetype(HANDLE.continuous, 'Continuous', 'Solid line'),
      ]),
      ...table('LAYER', HANDLE.layers, 1 + CUT_ROLES.length, [
        ...layer(HANDLE.layerZero, '0', 7, -3),
        ...layers,
      ]),
      ...table('STYLE', HANDLE.styles, 1, standardTextStyle()),
      ...table('VIEW', HANDLE.views, 0, []),
      ...table('UCS', HANDLE.coordinateSystems, 0, []),
      ...table('APPID', HANDLE.applications, 2, [
        ...application(HANDLE.acad, 'ACAD'),
        ...application(HANDLE.application, DXF_APPLICATION),
      ]),
      ...table('DIMSTYLE', HANDLE.dimensionStyles, 1, standardDimensionStyle(), [100, 'AcDbDimStyleTable']),
      ...table('BLOCK_RECORD', HANDLE.blockRecords, 2, [
        ...space(HANDLE.modelRecord, '*Model_Space', HANDLE.modelLayout),
        ...space(HANDLE.paperRecord, '*Paper_Space', HANDLE.paperLayout),
      ]),
    ]),
  );
}

function table(
  name: string,
  handle: string,
  count: number,
  records: readonly Tag[],
  subclass: readonly Tag[] = [],
): Tag[] {
  return [
    ...[0, 'TABLE', 2, name, 5, handle, 330, '0', 100, 'AcDbSymbolTable', 70, count],
    ...subclass,
    ...records,
    ...[0, 'ENDTAB'],
  ];
}

function record(
  type: string,
  handle: string,
  owner: string,
  subclass: string,
  name: string,
  rest: readonly Tag[],
  withFlags = true,
): Tag[] {
  const flags = withFlags ? [70, 0] : [];
  const head = [
    0,
    type,
    type === 'DIMSTYLE' ? 105 : 5,
    handle,
    330,
    owner,
    100,
    'AcDbSymbolTableRecord',
    100,
    subclass,
  ];
  return [...head, 2, name, ...flags, ...rest];
}

function layer(handle: string, name: string, colour: number, weight: number): Tag[] {
  const look = [62, colour, 6, 'Continuous', 370, weight, 390, HANDLE.plotNormal];
  return record('LAYER', handle, HANDLE.layers, 'AcDbLayerTableRecord', name, look);
}

/** Hundredths of a millimetre; the role's widths are tenths of the standard ones, which are what the format allows. */
function lineWeight(widthMm: number): number {
  return Math.round(widthMm * 1000);
}

/** A view that shows the whole sheet with a little air. */
function viewport(widthMm: number, heightMm: number): Tag[] {
  return record('VPORT', HANDLE.viewport, HANDLE.viewports, 'AcDbViewportTableRecord', '*Active', [
    ...[10, 0, 20, 0, 11, 1, 21, 1],
    ...[12, widthMm / 2, 22, heightMm / 2],
    ...[13, 0, 23, 0, 14, 10, 24, 10, 15, 10, 25, 10],
    ...[16, 0, 26, 0, 36, 1, 17, 0, 27, 0, 37, 0],
    ...[40, Math.max(widthMm, heightMm) * 1.1, 41, 1.5, 42, 50, 43, 0, 44, 0, 50, 0, 51, 0],
    ...[71, 0, 72, 1000, 73, 1, 74, 3, 75, 0, 76, 0, 77, 0, 78, 0],
  ]);
}

function standardTextStyle(): Tag[] {
  const look = [40, 0, 41, 1, 50, 0, 71, 0, 42, 2.5, 3, 'txt', 4, ''];
  return record('STYLE', HANDLE.standardStyle, HANDLE.styles, 'AcDbTextStyleTableRecord', 'Standard', look);
}

function standardDimensionStyle(): Tag[] {
  const look = [
    3,
    '',
    4,
    '',
    40,
    1,
    41,
    2.5,
    42,
    0.625,
    43,
    3.75,
    44,
    1.25,
    140,
    2.5,
    141,
    2.5,
    340,
    HANDLE.standardStyle,
  ];
  return record(
    'DIMSTYLE',
    HANDLE.dimensionStyle,
    HANDLE.dimensionStyles,
    'AcDbDimStyleTableRecord',
    'Standard',
    look,
  );
}

export function blocksSection(): string {
  const block = (name: string, owner: string, begin: string, end: string, space: readonly Tag[]): Tag[] => [
    ...[0, 'BLOCK', 5, begin, 330, owner, 100, 'AcDbEntity', ...space, 8, '0', 100, 'AcDbBlockBegin'],
    ...[2, name, 70, 0, 10, 0, 20, 0, 30, 0, 3, name, 1, ''],
    ...[0, 'ENDBLK', 5, end, 330, owner, 100, 'AcDbEntity', ...space, 8, '0', 100, 'AcDbBlockEnd'],
  ];
  return section(
    'BLOCKS',
    tagLines([
      ...block('*Model_Space', HANDLE.modelRecord, HANDLE.modelBegin, HANDLE.modelEnd, []),
      ...block('*Paper_Space', HANDLE.paperRecord, HANDLE.paperBegin, HANDLE.paperEnd, [67, 1]),
    ]),
  );
}

/** The named dictionaries, the two layouts, and the record in chunks under its own name. */
export function objectsSection(
  recordText: string,
  widthMm: number,
  heightMm: number,
  extents: Bounds,
): string {
  const dictionary = (handle: string, owner: string, entries: readonly Tag[]): Tag[] => [
    ...[0, 'DICTIONARY', 5, handle, 330, owner, 100, 'AcDbDictionary', 281, 1],
    ...entries,
  ];
  const chunks: Tag[] = [];
  for (let i = 0; i < recordText.length; i += RECORD_CHUNK)
    chunks.push(1, recordText.slice(i, i + RECORD_CHUNK));
  return section(
    'OBJECTS',
    tagLines([
      ...dictionary(HANDLE.root, '0', [
        ...[3, 'ACAD_GROUP', 350, HANDLE.groups],
        ...[3, 'ACAD_LAYOUT', 350, HANDLE.layouts],
        ...[3, 'ACAD_PLOTSTYLENAME', 350, HANDLE.plotStyles],
        ...[3, DXF_RECORD, 350, HANDLE.record],
      ]),
      ...dictionary(HANDLE.groups, HANDLE.root, []),
      ...dictionary(HANDLE.layouts, HANDLE.root, [
        ...[3, 'Model', 350, HANDLE.modelLayout],
        ...[3, 'Layout1', 350, HANDLE.paperLayout],
      ]),
      ...[0, 'ACDBDICTIONARYWDFLT', 5, HANDLE.plotStyles, 330, HANDLE.root, 100, 'AcDbDictionary', 281, 1],
      ...[3, 'Normal', 350, HANDLE.plotNormal, 100, 'AcDbDictionaryWithDefault', 340, HANDLE.plotNormal],
      ...[0, 'ACDBPLACEHOLDER', 5, HANDLE.plotNormal, 330, HANDLE.plotStyles],
      ...layout(HANDLE.modelLayout, 'Model', 0, HANDLE.modelRecord, widthMm, heightMm, extents),
      ...layout(HANDLE.paperLayout, 'Layout1', 1, HANDLE.paperRecord, widthMm, heightMm, extents),
      ...[0, 'XRECORD', 5, HANDLE.record, 330, HANDLE.root, 100, 'AcDbXrecord', 280, 1],
      ...chunks,
    ]),
  );
}

function layout(
  handle: string,
  name: string,
  tab: 0 | 1,
  space: string,
  widthMm: number,
  heightMm: number,
  extents: Bounds,
): Tag[] {
  return [
    ...[0, 'LAYOUT', 5, handle, 330, HANDLE.layouts],
    ...[100, 'AcDbPlotSettings', 1, '', 2, 'none_device', 4, '', 6, ''],
    ...[40, 0, 41, 0, 42, 0, 43, 0, 44, 0, 45, 0, 46, 0, 47, 0, 48, 0, 49, 0, 140, 0, 141, 0, 142, 1, 143, 1],
    ...[70, tab === 0 ? 1024 : 0, 72, 1, 73, 0, 74, 5, 7, '', 75, 16, 147, 1, 148, 0, 149, 0],
    ...[100, 'AcDbLayout', 1, name, 70, 1, 71, tab],
    ...[10, 0, 20, 0, 11, widthMm, 21, heightMm, 12, 0, 22, 0, 32, 0],
    ...[14, extents.minX, 24, extents.minY, 34, 0, 15, extents.maxX, 25, extents.maxY, 35, 0, 146, 0],
    ...[13, 0, 23, 0, 33, 0, 16, 1, 26, 0, 36, 0, 17, 0, 27, 1, 37, 0, 76, 0, 330, space],
  ];
}
