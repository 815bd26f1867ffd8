import { FormatError } from '../errors.ts';

/** A group of a DXF file: code, value, and the line of the value. */
export interface DxfTag {
  readonly code: number;
  readonly value: string;
  readonly line: number;
}

/** An entity or object: what follows a group 0 up to the next one. */
export interface DxfGroup {
  readonly type: string;
  /** Line of the type. */
  readonly line: number;
  readonly tags: readonly DxfTag[];
}

export interface DxfGroups {
  /** Values of each header variable by name. */
  readonly header: ReadonlyMap<string, readonly DxfTag[]>;
  readonly entities: readonly DxfGroup[];
  readonly objects: readonly DxfGroup[];
}

type Growing = { type: string; line: number; tags: DxfTag[] };

/**
 * The header, entities and objects of a text DXF. Other sections, unknown variables and comments (999) are passed over.
 * Throws FormatError for text that is not DXF, is cut short or has a group code that is not a number.
 */
export function readDxfGroups(text: string): DxfGroups {
  const header = new Map<string, DxfTag[]>();
  const bySection: Record<string, Growing[]> = { ENTITIES: [], OBJECTS: [] };
  let sectionName = '';
  let isNaming = false;
  let variable: DxfTag[] | undefined;
  let group: Growing | undefined;
  let sawSection = false;
  let sawEnd = false;

  let at = text.charCodeAt(0) === 0xfeff ? 1 : 0;
  let line = 0;
  while (at < text.length) {
    const codeEnd = lineEnd(text, at);
    const code = groupCode(text, at, codeEnd, line + 1, sawSection);
    at = codeEnd + 1;
    if (at > text.length) break;
    const valueEnd = lineEnd(text, at);
    const value = text.slice(at, text.charCodeAt(valueEnd - 1) === 13 ? valueEnd - 1 : valueEnd);
    at = valueEnd + 1;
    line += 2;

    if (code === 0) {
      const type = value.trim();
      group = undefined;
      variable = undefined;
      if (type === 'EOF') {
        sawEnd = true;
        break;
      }
      if (type === 'SECTION') {
        isNaming = true;
        sawSection = true;
      } else if (type === 'ENDSEC') {
        sectionName = '';
      } else {
        const list = bySection[sectionName];
        if (list) {
          group = { type, line, tags: [] };
          list.push(group);
        }
      }
    } else if (isNaming && code === 2) {
      sectionName = value.trim();
      isNaming = false;
    } else if (group) {
      if (code !== 999) group.tags.push({ code, value, line });
    } else if (sectionName === 'HEADER') {
      if (code === 9) {
        variable = [];
        header.set(value.trim(), variable);
      } else variable?.push({ code, value, line });
    }
  }
  if (!sawSection) throw notDxf(1);
  if (!sawEnd) {
    throw new FormatError(
      'cut-dxf-short',
      'The DXF file stops before its end mark (EOF): part of it is missing.',
      {
        where: `line ${line}`,
        hint: 'Copy or download it again, or make it again from the piece.',
      },
    );
  }
  return { header, entities: bySection.ENTITIES!, objects: bySection.OBJECTS! };
}

function lineEnd(text: string, from: number): number {
  const end = text.indexOf('\n', from);
  return end < 0 ? text.length : end;
}

/** A group code, -5 to 1071; by hand, since there are thousands of them. */
function groupCode(text: string, from: number, to: number, line: number, sawSection: boolean): number {
  let code = 0;
  let digits = 0;
  let sign = 1;
  for (let i = from; i < to; i++) {
    const c = text.charCodeAt(i);
    if (c >= 48 && c <= 57 && digits < 5) {
      code = code * 10 + c - 48;
      digits++;
    } else if (c === 45 && digits === 0) sign = -1;
    else if (c !== 32 && c !== 9 && c !== 13) digits = 99;
  }
  if (digits >= 1 && digits <= 5) return sign * code;
  if (!sawSection) throw notDxf(line);
  throw new FormatError(
    'cut-dxf-broken',
    `"${text.slice(from, Math.min(to, from + 40)).trim()}" is not a group code.`,
    {
      where: `line ${line}`,
      hint: 'A line may be missing or doubled there. Use the file as it was written.',
    },
  );
}

function notDxf(line: number): FormatError {
  return new FormatError('cut-not-dxf', 'This is not a DXF file in text form.', {
    where: `line ${line}`,
    hint: 'Give a DXF file that was saved as text, or make it again from the piece.',
  });
}

/** The number of a tag. Throws FormatError where it is not a finite number, with the line. */
export function tagNumber(tag: DxfTag): number {
  const text = tag.value.trim();
  const value = Number(text);
  if (text !== '' && Number.isFinite(value)) return value;
  throw new FormatError('cut-dxf-number', `Group ${tag.code} holds "${tag.value}", not a number.`, {
    where: `line ${tag.line}`,
    hint: 'Use the file as it was written, or make it again from the piece.',
  });
}
