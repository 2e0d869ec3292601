// Types of the package. What the attributes mean, and the fields of a report: README.md.

/** Part of the view; all lengths in the unit chosen, times in the student's seconds. */
export interface Look {
  view: 'down-the-line' | 'face-on' | 'overhead' | 'free';
  layout: 'overlaid' | 'side-by-side';
  timing: 'matched' | 'own';
  unit: 'cm' | 'in';
  speed: '0.25' | '1' | '0.5' | '0.125';
  time: number;
  orbit: { yaw: number; pitch: number };
  zoom: number;
  reference: number;
  body: boolean;
  lines: boolean;
  numbers: boolean;
  references: boolean;
  band: boolean;
  others: boolean;
  arms: boolean;
  shaft: boolean;
  lit: { from: number; to: number } | null;
  aim: number;
  story: Step[];
  step: number | null;
  [other: string]: unknown;
}

/** A step of a story: what is said, a part of the view, numbers of the student's swing and of the reference, what is played. */
export interface Step {
  say: string;
  look?: Partial<Look> | null;
  swing?: number | null;
  against?: number | null;
  play?: { from: number; to: number } | null;
  [other: string]: unknown;
}

/** What was found: a report per file by its number, and the comparison. */
export interface Found {
  files: Record<number, { id: number; report: Record<string, unknown>; roles: Record<string, string[]>; names_key: string | null; content_key: string | null }>;
  comparison: { references: Record<string, unknown>[]; [other: string]: unknown };
  [other: string]: unknown;
}

/** A message of the core: a key of the catalogue, and what goes into its sentence. */
export interface Message {
  key: string;
  args: Record<string, string | number>;
  place: Record<string, unknown> | null;
}

export type Slot = 'student' | 'earlier' | 'reference' | 'address';

export class HandpathCompare extends HTMLElement {
  static define(tag?: string, registry?: CustomElementRegistry): typeof HandpathCompare;
  static held(): Promise<{ painters: number; workers: number; bytes: number }>;

  view: Look['view'];
  layout: Look['layout'];
  timing: Look['timing'];
  unit: Look['unit'];
  speed: Look['speed'];
  theme: 'auto' | 'light' | 'dark';
  language: 'auto' | 'en' | 'de' | 'es';
  controls: 'all' | 'view' | 'none';
  loading: 'lazy' | 'eager';
  trial: 'offered' | 'open' | 'none';
  student: string;
  references: string;
  prepared: string;
  lesson: string;
  story: string;

  get look(): Look;
  set look(part: Partial<Look>);
  readonly report: Found | null;

  add(slot: Slot, files: (File | { name: string; bytes: Uint8Array })[], joins?: boolean): Promise<void>;
  openLesson(file: File | { name: string; bytes: Uint8Array }): Promise<void>;
  saveLesson(small?: boolean): Promise<{ text: string; left_out: number }>;
  prepare(): Promise<string | null>;
  whenIdle(): Promise<void>;
}

export interface HandpathEvents {
  'handpath-ready': CustomEvent<null>;
  'handpath-report': CustomEvent<Found>;
  'handpath-refused': CustomEvent<{ name: string; slot: Slot; error: Message; text: string }>;
  'handpath-look': CustomEvent<Look>;
  'handpath-apart': CustomEvent<{ pins: number; spans: number; story: number; reference: number }>;
}

declare global {
  interface HTMLElementTagNameMap {
    'handpath-compare': HandpathCompare;
  }
  interface HTMLElementEventMap extends HandpathEvents {}
}
