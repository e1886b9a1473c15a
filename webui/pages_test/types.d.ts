// The types of the pages' modules, by the names that their comments use.

// Messages of the daemon, as protocol.js hands them on.

type Well = { height_m: number[]; potential_J: number[] };

interface Hello {
  type: 'hello';
  bench: string;
  virtual: boolean;
  source: string;
  session: string;
  lag_s: number;
  well: Well | null;
  weight_N: number; // gravitational energy per height
  calibrated: number; // [ms] wall time, NaN = not stated
  cautions: string[];
}

type Column = (number | null)[];

interface Frames {
  type: 'frames';
  seq: number;
  n: number;
  lost: number;
  t_s: number[];
  flags: string[] | null;
  columns: Record<string, Column>;
}

type DeviceClock = { known: boolean; ppm: number; u_ppm: number };

interface Run {
  active: boolean;
  name: string;
  rows: number;
  lost: number;
  length_s: number;
  trouble: string;
}

interface Status {
  type: 'status';
  virtual: boolean | null;
  link: string;
  link_detail: string;
  rate_per_s: number;
  accepted: number;
  refused: number;
  clock: DeviceClock;
  run: Run;
  fresh: boolean;
  viewers: number;
  sealed: boolean; // results are withheld until the room has worked them out
}

type Message = Hello | Frames | Status;
type Refusal = 'malformed' | 'version' | 'unknown';

/** Whether values may be shown as live; when not, why, and since when. */
interface Liveness {
  live: boolean;
  why: 'live' | 'unreachable' | 'never' | 'finished' | 'stopped';
  since: Date | null;
}

// What the person at the desk has chosen, and can do.

interface Settings {
  look: 'auto' | 'light' | 'dark';
  unit: 'auto' | 'J' | 'mJ';
  window: number; // [s] of the strips
  zero: 'floor' | 'lowest';
  seat: number; // farthest seat, in widths of the picture
  below: 'yes' | 'no'; // extension and force below the energies
  motion: 'auto' | 'live' | 'calm';
  speech: 'off' | 'events' | 'often';
  keys: 'on' | 'off'; // shortcuts of one character
  calm: boolean; // worked out from motion and the system's wish
}

interface Command {
  key: string; // as KeyboardEvent.key says it
  word: string; // what it does, in the words of the help
  run: (desk: Desk) => void;
  frozen?: boolean; // only while the page is frozen
}

// What is drawn.

/** The elements of one energy in the sum. */
interface Cell {
  value: HTMLElement;
  unit: HTMLElement;
  below: HTMLElement;
  meter: HTMLMeterElement | null;
}

interface Pen {
  word: number; // colour
  width: number; // [px] of the square nib
  on: number; // [px] dash; 0 = solid
  off: number; // [px] between dashes
}

type Surface = { words: Uint32Array; width: number; height: number }; // [px]
type Rows = { zero: number; perJoule: number }; // row of 0 J; rows per joule, upward positive

interface Trace {
  s: number; // number of the series in the columns
  name: string; // of the energy, or ink
  field: string; // column of the messages
  pen: string; // size of its line
  marker: Marker;
  dash: number[];
}

interface Chart {
  title: string; // written over it; empty where the sum above names the traces
  columns: (record: PageRecord) => Columns;
  scale: (state: State) => Scale;
  traces: readonly Trace[]; // from the least important to the one all else is judged against
}

/** What a main loop draws once per animation frame; now is in ms. */
interface View {
  draw(state: State, now: number): void;
}

// The line to the daemon, and what a test replaces of its surroundings.

interface Handlers {
  opened: () => void;
  closed: () => void;
  received: (text: unknown) => void;
}

interface Surroundings {
  WebSocket: new (url: string) => WebSocket;
  setTimeout: (f: () => void, ms: number) => number;
  clearTimeout: (id: number) => void;
  random: () => number; // 0 to 1
}

// Trials, as GET /api/trials tells them. Quantities are in SI units.

interface Estimate { value: number; u: number } // u: standard uncertainty

interface Place {
  time_s: number;
  height_m: Estimate;
  extension_m?: Estimate; // absent where a sealed sheet asks for it
  elastic_J?: Estimate; // withheld while results are sealed, as are all energies
  gravitational_J?: Estimate;
  total_J?: Estimate;
}

interface Finding { fault: string; sentence: string; voids: boolean }

interface TrialRow {
  bench: string;
  spring: string;
  bob: string;
  counts: boolean;
  overruled: boolean;
  release_s: number;
  over: string;
  cycles: number;
  start?: Place;
  lowest?: Place;
  end?: Place;
  amplitude_m?: Estimate;
  period_s?: Estimate;
  first_fall_loss_J?: Estimate;
  loss_per_cycle_J?: Estimate;
  swing_energy_J?: Estimate;
  release_speed_m_s?: Estimate;
  release_excess_m?: Estimate;
  decay_law?: string;
  findings: Finding[] | null;
  notes?: string[];
  books_without_release?: boolean;
}

interface Trial {
  at: number; // place among all trials
  run: string; // name of its run
  index: number; // among the trials of the run
  created: string; // the instant of the run's time zero
  group: string;
  virtual: boolean;
  row: TrialRow;
}

interface Trend { per_trial: number; u: number; p: number }

interface StatColumn {
  key: string;
  label: string;
  unit: string;
  n: number;
  mean: number;
  sd?: number;
  u_mean?: number;
  u_shared?: number;
  u_combined?: number;
  U: number; // expanded, with k
  k: number;
  outliers: number[] | null; // places among all trials, from 0
  trend?: Trend;
}

interface StatGroup {
  label: string;
  bench: string;
  spring: string;
  bob: string;
  trials: number; // that count
  left_out: number;
  columns: StatColumn[] | null;
}

interface Comparison {
  key: string;
  label: string;
  unit: string;
  a: string;
  b: string;
  difference: number; // a less b
  p: number;
  from: number; // 95 % interval
  to: number;
  sentence: string;
}

interface TrialsTable { groups: StatGroup[]; comparisons: Comparison[] | null; notes: string[] | null }

interface EndRule { cycles: number; length_s: number; floor: boolean } // 0 = none

interface TrialsAnswer {
  armed: boolean;
  state: string; // waiting, held, let go, swinging
  rule: EndRule;
  group: string; // label of the next trials
  sealed: boolean;
  asked?: { run: string; index: number; print: string[] | null; ask: string[] | null; digits: number }; // the sheet that was sealed
  recording: string; // name of the run, or empty
  trouble: string;
  revision: number;
  mark: string; // names this state
  since: string; // state after which the trials told have changed; empty = all are told
  count: number; // trials there are
  trials: Trial[]; // oldest first
  table?: TrialsTable; // absent while sealed
}

// Classes and types that modules define.

type Axis = import('../pages/scale.js').Axis;
type Box = import('../pages/paper.js').Box;
type Columns = import('../pages/columns.js').Columns;
type Desk = import('../pages/desk.js').Desk;
type EnergyUnit = import('../pages/scale.js').EnergyUnit;
type Hatch = import('../pages/marks.js').Hatch;
type Marker = import('../pages/marks.js').Marker;
type PageHistory = import('../pages/history.js').History;
type PageRecord = import('../pages/record.js').Record;
type Paper = import('../pages/paper.js').Paper;
type Sample = import('../pages/history.js').Sample;
type Scale = import('../pages/axistext.js').Scale;
type Segment = import('../pages/stack.js').Segment;
type Sheet = import('../pages/paper.js').Sheet;
type SketchView = import('../pages/sketchview.js').SketchView;
type State = import('../pages/state.js').State;
type TurningPoint = import('../pages/turning.js').TurningPoint;
