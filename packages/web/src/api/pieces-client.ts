/** The typed client of the server's interface. Answers are checked against the shared wire schemas. */
import {
  type PieceEntry,
  type PieceRegister,
  type Problem,
  pieceEntrySchema,
  pieceRegisterSchema,
  problemSchema,
} from '@inlaywright/formats';
import type { Outcome, Trouble } from '../worker/messages.ts';

export interface PieceText {
  readonly version: number;
  readonly text: string;
}

export function listPieces(): Promise<Outcome<PieceRegister>> {
  return ask('/api/pieces', {}, async (answer) => pieceRegisterSchema.parse(await answer.json()));
}

export function fetchPiece(id: string): Promise<Outcome<PieceText>> {
  return ask(`/api/pieces/${encodeURIComponent(id)}`, {}, async (answer) => ({
    version: Number(answer.headers.get('etag')?.replaceAll('"', '')),
    text: await answer.text(),
  }));
}

/** Saves a piece file as the version after `basedOn`, or as a new piece where there is no id. */
export function savePiece(
  text: string,
  over: { readonly id: string; readonly basedOn: number } | null,
): Promise<Outcome<PieceEntry>> {
  const headers = { 'content-type': 'application/json' };
  const request = over
    ? { method: 'PUT', headers: { ...headers, 'if-match': `"${over.basedOn}"` }, body: text }
    : { method: 'POST', headers, body: text };
  return ask(over ? `/api/pieces/${encodeURIComponent(over.id)}` : '/api/pieces', request, async (answer) =>
    pieceEntrySchema.parse(await answer.json()),
  );
}

async function ask<T>(
  address: string,
  request: RequestInit,
  read: (answer: Response) => Promise<T>,
): Promise<Outcome<T>> {
  let answer: Response;
  try {
    answer = await fetch(address, request);
  } catch {
    return { ok: false, trouble: noServer(address) };
  }
  try {
    if (answer.ok) return { ok: true, value: await read(answer) };
    const problem = problemSchema.safeParse(await answer.json());
    if (problem.success) return { ok: false, trouble: troubleOfProblem(problem.data) };
  } catch {
    // Not what our server sends: told below.
  }
  return {
    ok: false,
    trouble: {
      title: 'The server answered with something unexpected',
      detail: `${address} answered with status ${answer.status}.`,
      where: address,
      hint: 'Page and server may be of different versions: stop the server, start it again, and load the page anew.',
    },
  };
}

function noServer(address: string): Trouble {
  return {
    title: 'The server does not answer',
    detail: 'The program that keeps the pieces has stopped, or is still starting.',
    where: address,
    hint: 'Look at the terminal where it was started, start it again with "npm start", then try once more.',
  };
}

function troubleOfProblem(problem: Problem): Trouble {
  return { title: problem.title, detail: problem.detail, where: problem.where ?? '', hint: problem.hint };
}
