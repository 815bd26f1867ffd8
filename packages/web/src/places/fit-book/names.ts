import type { Document } from '@inlaywright/formats';
import { useDocuments } from '../../workspace/use-shelf.ts';

/** What a record or trial belongs to. */
export interface Belonging {
  readonly machine: string;
  readonly stock: string;
  readonly setting: string;
}

export interface Names {
  readonly machine: (id: string) => string;
  readonly stock: (id: string) => string;
  readonly setting: (id: string) => string;
  /** `Cherry 3 mm, Bench laser, Hardwood 3 mm` */
  readonly all: (of: Belonging) => string;
}

/** Names of machines, stocks and settings by id; the id itself for one that was put aside. */
export function useNames(): Names {
  const machines = useDocuments('machines');
  const stocks = useDocuments('stocks');
  const settings = useDocuments('settings');
  const name =
    (items: readonly Document<'machines' | 'stocks' | 'settings'>[] | null) =>
    (id: string): string =>
      items?.find((item) => item.id === id)?.body.name ?? id;
  const [machine, stock, setting] = [name(machines), name(stocks), name(settings)];
  return {
    machine,
    stock,
    setting,
    all: (of) => `${stock(of.stock)}, ${machine(of.machine)}, ${setting(of.setting)}`,
  };
}

export function sameBelonging(a: Belonging, b: Belonging): boolean {
  return a.machine === b.machine && a.stock === b.stock && a.setting === b.setting;
}

/** The address's fields that name a machine, stock and setting. */
export function belongingQuery({ machine, stock, setting }: Belonging): Record<string, string> {
  return { machine, stock, setting };
}
