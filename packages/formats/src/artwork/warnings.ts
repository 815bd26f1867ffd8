/** Everything a reader may have to say about a drawing: one catalogue, one message for all elements it is about. */
import type { ArtworkWarning, ElementPlace } from './artwork.ts';
import { elementLabel, type SvgElement } from './svg-tree.ts';

interface Entry {
  readonly severity: 'note' | 'warning';
  /** Before the list of elements; `n` is their number. */
  readonly message: (n: number) => string;
  readonly hint: string;
}

/** How many elements a message names before it only counts. `elements` holds them all. */
const MAX_NAMED = 8;

export const ARTWORK_WARNINGS = {
  'size-assumed': {
    severity: 'note',
    message: () => 'The file gives no size on paper, so one unit counts as 1/96 inch',
    hint: 'Check the size; set the width you want, or give the file a width in mm.',
  },
  'relative-unit': {
    severity: 'note',
    message: (n) =>
      `Sizes relative to a font are approximate (${count(n, 'element')}), 1em being 16 px unless a font size is set`,
    hint: 'Give these sizes in mm or px if they matter.',
  },
  'strokes-not-outlined': {
    severity: 'warning',
    message: (n) => `${count(n, 'visible stroke')} left out: only fills become areas`,
    hint: 'Ask for strokes to be outlined (the strokes option), or turn strokes into paths in the drawing program.',
  },
  'text-not-outlined': {
    severity: 'warning',
    message: (n) => `${count(n, 'text')} left out: letters have no outline without their font`,
    hint: 'Convert text to paths in the drawing program and export again.',
  },
  'image-not-outline': {
    severity: 'warning',
    message: (n) => `${count(n, 'image')} left out: a picture made of pixels has no outline`,
    hint: 'Trace the picture into paths and export again.',
  },
  'foreign-content': {
    severity: 'warning',
    message: (n) => `${count(n, 'embedded page')} left out: its content is not SVG`,
    hint: 'Redraw it with paths and export again.',
  },
  'gradient-flattened': {
    severity: 'warning',
    message: (n) =>
      `${count(n, 'gradient fill')} read as one tone of its own, shown in the average of its stops`,
    hint: 'Wood has one colour: map the tone to a stock, or draw the shades as separate shapes.',
  },
  'pattern-flattened': {
    severity: 'warning',
    message: (n) => `${count(n, 'pattern fill')} read as one tone of its own`,
    hint: 'If the pattern is to be inlaid, draw its shapes where they stand.',
  },
  'semi-transparent': {
    severity: 'warning',
    message: (n) => `${count(n, 'semi-transparent paint')} read as opaque: what lies below is covered`,
    hint: 'If two colours were meant to mix, draw the overlap as a shape of its own.',
  },
  'mask-ignored': {
    severity: 'warning',
    message: (n) => `${count(n, 'mask')} not applied: the shapes are kept whole`,
    hint: 'Use a clip path, or cut the shapes in the drawing program.',
  },
  'filter-ignored': {
    severity: 'warning',
    message: (n) => `${count(n, 'filter effect')} not applied: the shapes are kept plain`,
    hint: 'Blurs and shadows cannot be cut; draw what is to be seen as shapes.',
  },
  'markers-not-drawn': {
    severity: 'warning',
    message: (n) => `Arrowheads and other markers left out on ${count(n, 'line')}`,
    hint: 'Convert markers to paths in the drawing program and export again.',
  },
  'blend-mode-ignored': {
    severity: 'warning',
    message: (n) => `${count(n, 'blend mode')} not applied: the colours are as given`,
    hint: 'Draw overlaps that should have a colour of their own as separate shapes.',
  },
  'animation-ignored': {
    severity: 'note',
    message: (n) => `${count(n, 'animation')} ignored: the drawing is read as it stands at the start`,
    hint: 'Nothing to do if that is the picture you want.',
  },
  'script-ignored': {
    severity: 'note',
    message: (n) => `${count(n, 'script')} never run`,
    hint: 'If a script draws something, export the finished picture instead.',
  },
  'external-reference': {
    severity: 'warning',
    message: (n) => `${count(n, 'reference')} to something outside the file, which is never fetched`,
    hint: 'Embed what is referred to in the drawing itself.',
  },
  'missing-reference': {
    severity: 'warning',
    message: (n) => `${count(n, 'reference')} to something that is not in the file`,
    hint: 'Export the drawing again, or remove the reference.',
  },
  'reference-cycle': {
    severity: 'warning',
    message: (n) => `${count(n, 'element')} refers to itself, directly or through others, and is left out`,
    hint: 'Break the circle of references in a text editor.',
  },
  'bad-path-data': {
    severity: 'warning',
    message: (n) => `${count(n, 'path')} with broken data, drawn up to the error as SVG asks`,
    hint: 'Check that the shape is complete; redraw it or export again.',
  },
  'bad-number': {
    severity: 'warning',
    message: (n) => `${count(n, 'value')} not understood and taken as not given`,
    hint: 'Correct the number in the drawing.',
  },
  'bad-points': {
    severity: 'warning',
    message: (n) => `${count(n, 'list')} of points with an error, drawn up to the error`,
    hint: 'Check that the shape is complete; points are pairs of numbers.',
  },
  'bad-transform': {
    severity: 'warning',
    message: (n) => `${count(n, 'transform')} not understood and not applied`,
    hint: 'Check where the shape stands, or apply the transform in the drawing program.',
  },
  collapsed: {
    severity: 'warning',
    message: (n) => `${count(n, 'element')} left out: a scale or size of zero leaves nothing of it`,
    hint: 'Remove the element or correct its transform, viewBox or size.',
  },
  'bad-css': {
    severity: 'warning',
    message: (n) => `${count(n, 'style')} not understood and not applied`,
    hint: 'Check the colours and tones below, or give the fill at the shape itself.',
  },
  'css-not-applied': {
    severity: 'note',
    message: (n) =>
      `${count(n, 'part')} of the style sheet left aside: not for a still picture on a light screen`,
    hint: 'Nothing to do if that is the picture you want.',
  },
  'css-shape-ignored': {
    severity: 'warning',
    message: (n) => `${count(n, 'clip')} by a CSS shape not applied: the shape is kept whole`,
    hint: 'Use a clipPath element, or cut the shape in the drawing program.',
  },
  'unknown-element': {
    severity: 'note',
    message: (n) => `${count(n, 'element')} not known to SVG left out`,
    hint: 'If it should be drawn, export the drawing as plain SVG.',
  },
  'open-outline': {
    severity: 'note',
    message: (n) => `${count(n, 'outline')} left open and closed by a straight line, as every fill is`,
    hint: 'Nothing to do if that is what you drew; otherwise close the path in the drawing program.',
  },
  'no-extent': {
    severity: 'note',
    message: (n) => `${count(n, 'shape')} without area left out`,
    hint: 'Nothing to do, unless the shape should be there: then give it a size or an outline that encloses something.',
  },
  invisible: {
    severity: 'note',
    message: (n) => `${count(n, 'element')} left out because it cannot be seen`,
    hint: 'Nothing to do, unless it should be there: then give it a fill and show it.',
  },
  'not-drawn': {
    severity: 'note',
    message: (n) => `${count(n, 'shape')} only defined, and drawn nowhere`,
    hint: 'Nothing to do, unless it should be there.',
  },
  'clipped-away': {
    severity: 'warning',
    message: (n) => `${count(n, 'shape')} left out: the clip path leaves nothing of it`,
    hint: 'If it should be there, release the clip path in the drawing program.',
  },
  'clip-content': {
    severity: 'warning',
    message: (n) => `${count(n, 'element')} inside a clip path not read: only shapes can clip`,
    hint: 'Convert text to paths and ungroup what is inside the clip path.',
  },
  'outside-page': {
    severity: 'warning',
    message: (n) => `${count(n, 'shape')} left out: it lies outside the page`,
    hint: 'Move it onto the page, enlarge the page, or set overflow="visible" on the svg element.',
  },
  'trimmed-at-page': {
    severity: 'warning',
    message: (n) => `${count(n, 'shape')} trimmed at the edge of the page, as viewers show it`,
    hint: 'Enlarge the page or set overflow="visible" on the svg element to keep the shape whole.',
  },
  'too-far': {
    severity: 'warning',
    message: (n) => `${count(n, 'shape')} left out: it reaches more than a kilometre from the page`,
    hint: 'Correct its numbers in the drawing.',
  },
  'no-areas': {
    severity: 'warning',
    message: () => 'The drawing has no filled shape that could become an area',
    hint: 'Fill the shapes, convert text to paths, or ask for strokes to be outlined; the other messages say what was left out.',
  },
} as const satisfies Record<string, Entry>;

export type ArtworkWarningCode = keyof typeof ARTWORK_WARNINGS;

interface Mention {
  readonly element: SvgElement | null;
  readonly detail: string;
}

/** Collects what there is to say while a drawing is read. */
export interface Reporter {
  /** The same thing about the same element counts once. */
  report(code: ArtworkWarningCode, element: SvgElement | null, detail?: string): void;
  warnings(): ArtworkWarning[];
}

export function createReporter(): Reporter {
  const mentions = new Map<ArtworkWarningCode, Map<string, Mention>>();
  return {
    report: (code, element, detail = '') => {
      const list = mentions.get(code) ?? new Map<string, Mention>();
      mentions.set(code, list);
      list.set(`${element?.index} ${detail}`, { element, detail });
    },
    warnings: () => Array.from(mentions, ([code, list]) => toWarning(code, [...list.values()])),
  };
}

function toWarning(code: ArtworkWarningCode, mentions: readonly Mention[]): ArtworkWarning {
  const entry: Entry = ARTWORK_WARNINGS[code];
  const named = mentions
    .slice(0, MAX_NAMED)
    .map(({ element, detail }) => [element && elementLabel(element), detail].filter(Boolean).join(': '))
    .filter((text) => text !== '');
  const more = mentions.length > MAX_NAMED ? ` and ${mentions.length - MAX_NAMED} more` : '';
  const list = named.length > 0 ? `: ${named.join('; ')}${more}` : '';
  return {
    code,
    severity: entry.severity,
    message: `${entry.message(mentions.length)}${list}.`,
    hint: entry.hint,
    elements: mentions.flatMap(({ element }) => (element ? [elementPlace(element)] : [])),
  };
}

export function elementPlace(element: SvgElement): ElementPlace {
  const { tag, index, line } = element;
  return { label: elementLabel(element), tag, id: element.attributes.get('id') ?? null, index, line };
}

function count(n: number, noun: string): string {
  return `${n} ${noun}${n === 1 ? '' : 's'}`;
}
