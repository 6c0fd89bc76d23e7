// Written by go generate from the Go structs. Do not edit.

export type Ribbon = {
  name: string;
  dark: boolean;
  units: readonly number[];
};

export type Sketch = {
  name: string;
  purpose: string;
  swatches: string;
};

export type Times = {
  number: readonly string[];
  look: readonly number[];
  moment: readonly number[];
  start: readonly number[];
  complete: readonly number[];
  drafted: readonly number[];
};

export type Lack = {
  fact: string;
  write: string;
  of?: readonly string[];
  limits: readonly string[];
};

export type Finding = {
  id: string;
  severity: string;
  text: string;
  value: number;
  limit: number;
  unit: string;
  from: number;
  to: number;
  place: string;
  source: string;
  measured?: string;
  margin?: number;
  low?: number;
  high?: number;
  units?: readonly string[];
  cues?: readonly string[];
  assumed?: string;
  hint?: string;
  file?: string;
  line?: number;
  column?: number;
  signed?: string;
  lacks?: readonly Lack[];
  light?: string;
};

export type Found = {
  stops: number;
  warnings: number;
  notes: number;
  unjudged: boolean;
  first: readonly Finding[];
  more: number;
};

export type Eye = {
  name: string;
  kind: string;
};

export type Hall = {
  size: readonly [number, number, number];
  solved: boolean;
  eyes: readonly Eye[];
  seat: number;
  guessed: string;
};

export type Contents = {
  edition: string;
  steerable: boolean;
  rescues: boolean;
  reader: string;
  right: string;
  owner: boolean;
  writes: boolean;
  stale: boolean;
  plays: boolean;
  title: string;
  place: string;
  length: number;
  heard: boolean;
  units: number;
  ribbons: readonly Ribbon[];
  looks: readonly Sketch[];
  cues: Times;
  found: Found;
  room: Hall;
};

export type Sound = {
  hop: number;
  from: number;
  low: string;
  mid: string;
  high: string;
};

export type Moments = {
  kind: readonly string[];
  time: readonly number[];
  end: readonly number[];
  strength: readonly number[];
  change: readonly number[];
  why: readonly string[];
  label: readonly string[];
  bar: readonly number[];
  beat: readonly number[];
};

export type Cue = {
  number: string;
  look: number;
  moment: number;
  start: number;
  peak: number;
  complete: number;
  up: number;
  down: number;
  delay: number;
  hold: number;
  returns: number;
  bump: boolean;
  lands: string;
  on: string;
  found: boolean;
  offBy: number;
  why: string;
  by: string;
  file: string;
};

export type Span = {
  from: number;
  to: number;
  sound: Sound;
  moments: Moments;
  cues: readonly Cue[];
  findings: readonly Finding[];
};

export type Miss = {
  text: string;
  wanted: number;
  found: number;
  unit: string;
};

export type Look = {
  name: string;
  purpose: string;
  swatches: string;
  colours: string;
  parts: readonly string[];
  misses: readonly Miss[];
  file: string;
};

export type Unit = {
  name: string;
  type: number;
  mode: string;
  universe: number;
  address: number;
  last: number;
  at: readonly [number, number, number];
  aim: readonly [number, number, number];
  turn: number;
  row: readonly [number, number, number];
  guessed: boolean;
  on: string;
  systems: readonly string[];
  circuit: string;
  fedBy: string;
  line: string;
  onLoss: string;
  note: string;
};

export type Emitter = {
  name: string;
  output: string;
  peak: number;
  spectrum: string;
};

export type Slot = {
  number: string;
  does: string;
};

export type Mode = {
  name: string;
  footprint: number;
  slots: readonly Slot[];
};

export type Type = {
  id: string;
  name: string;
  cells: number;
  size: readonly [number, number, number];
  half: number;
  tenth: number;
  max: number;
  emitters: readonly Emitter[];
  modes: readonly Mode[];
};

export type Circuit = {
  name: string;
  breaker: string;
  voltage: number;
  voltageSaid: boolean;
  watts: number;
  units: readonly number[];
};

export type Support = {
  name: string;
  kind: string;
  height: number;
};

export type BuiltIn = {
  id: string;
  modes: readonly Mode[];
};

export type Rig = {
  units: readonly Unit[];
  types: readonly Type[];
  circuits: readonly Circuit[];
  supports: readonly Support[];
  lines: readonly string[];
  builtIn: readonly BuiltIn[];
};

export type Panel = {
  name: string;
  kind: string;
  back: boolean;
  corner: readonly [number, number, number];
  u: readonly [number, number, number];
  v: readonly [number, number, number];
  normal: readonly [number, number, number];
  width: number;
  height: number;
  cols: number;
  rows: number;
  first: number;
};

export type Point = {
  name: string;
  kind: string;
  at: readonly [number, number, number];
  looks: readonly [number, number, number];
  place: number;
};

export type Room = {
  size: readonly [number, number, number];
  front: number;
  panels: readonly Panel[];
  points: readonly Point[];
  seat: number;
  guessed: string;
};

export type Reading = {
  name: string;
  kind: string;
  lux: number;
  luminance: number;
  glow: number;
  uv: number;
};

export type ZoneLine = {
  zone: string;
  text: string;
};

export type Stage = {
  now: string;
  nowWhy: string;
  next: string;
  nextWhy: string;
  count: number;
  standby: string;
  notice: string;
  away: boolean;
  zones: readonly ZoneLine[];
  triggers: readonly string[];
};

export type ExtraOf = {
  name: string;
  key: string;
  plays: boolean;
};

export type SpeakerOf = {
  name: string;
  channel: number;
  level: number;
  delay: number;
};

export type Hearing = {
  frozen: boolean;
  violet: boolean;
  skips: boolean;
  skipsTo: number;
  notice: string;
  lowered: number;
  tests: boolean;
  device: boolean;
  live: string;
  stops: number;
  zones: readonly string[];
  extras: readonly ExtraOf[];
  speakers: readonly SpeakerOf[];
};

export type Alarm = {
  stands: boolean;
  text: string;
  hint: string;
  notice: string;
};

export type Wrong = {
  of: string;
  text: string;
  hint: string;
  since: string;
  lost: boolean;
};

export type Edit = {
  text: string;
  offered: boolean;
  back: boolean;
};

export type Playhead = {
  at: number;
  running: boolean;
  idle: boolean;
  held: boolean;
  lightsUp: boolean;
  cue: string;
  clock: string;
  state: string;
  speed: number;
  fault: string;
  hint: string;
  stage: Stage;
  look: string;
  hand: string;
  hands: number;
  hearing: Hearing;
  alarm: Alarm;
  doors: string;
  wrong: readonly Wrong[];
  edit: Edit;
};

export type Held = {
  system: string;
  units: readonly string[];
  dark: boolean;
  colour: string;
  level: number;
};

export type Trim = {
  system: string;
  unit: string;
  factor: number;
};

export type Out = {
  unit: string;
  why: string;
  since: string;
};

export type Focus = {
  does: string;
  unit: string;
};

export type Aimed = {
  unit: string;
  at: readonly [number, number, number];
  on: string;
  note: string;
};

export type Lamp = {
  unit: string;
  colour: string;
  level: number;
  dark: number;
  seen: boolean;
  black: boolean;
};

export type System = {
  name: string;
  loose: boolean;
  units: readonly number[];
};

export type Lamps = {
  holds: string;
  wrong: string;
  look: string;
  held: readonly Held[];
  trims: readonly Trim[];
  outs: readonly Out[];
  covers: string;
  focus: Focus;
  undo: string;
  aimed: readonly Aimed[];
  lamps: readonly Lamp[];
  looks: readonly string[];
  systems: readonly System[];
};

export type Order = {
  do: string;
  system?: string;
  units?: readonly string[];
  dark?: boolean;
  colour?: string;
  level?: number;
  look?: string;
  why?: string;
  over?: number;
};

export type SoundOrder = {
  do: string;
  zone: string;
  over: number;
  level: number;
  off: boolean;
  name: string;
  channel: number;
  delay: number;
};

export type Try = {
  text: string;
  unit: string;
};

export type Aim = {
  unit: string;
  at: readonly [number, number, number];
  aim: readonly [number, number, number];
  beam: number;
  mark: string;
  lights: readonly string[];
  near: readonly number[];
  fault: readonly Try[];
};

export type Reach = {
  system: string;
  share: number;
};

export type Pointed = {
  name: string;
  kind: string;
  luminance: number;
  glow: number;
  lux: number;
  uv: number;
};

export type Item = {
  id: string;
  group: string;
  text: string;
  state: string;
  found: string;
  cure: string;
  seen: boolean;
  try: string;
  out: boolean;
};

export type Round = {
  items: readonly Item[];
  sum: string;
  written: string;
};

export type Tick = {
  id: string;
  state: string;
  note: string;
};

export type Guest = {
  id: string;
  name: string;
  from: string;
  right: string;
  until: string;
  seen: string;
};

export type Asked = {
  time: string;
  who: string;
  from?: string;
  order?: string;
  said: string;
  times: number;
};

export type Paired = {
  address: string;
  sealed: boolean;
  devices: readonly Guest[];
  codes: readonly string[];
  orders: readonly Asked[];
};

export type Invitation = {
  link: string;
  code: string;
  right: string;
  until: string;
};

export type Entered = {
  id: string;
  name: string;
  right: string;
};

export type Played = {
  step: string;
  at: string;
  length: number;
  usual: number;
  cues: number;
  cut: boolean;
  version?: string;
};

export type Zone = {
  zone: string;
  ran: number;
  lines: readonly string[];
  steps: readonly Played[];
};

export type Happening = {
  time: string;
  zone?: string;
  what: string;
  text?: string;
  who?: string;
  bad?: boolean;
};

export type Asker = {
  who: string;
  done: number;
  refused: number;
  why?: string;
};

export type Burned = {
  unit: string;
  lit: number;
  full: number;
  violet: number;
};

export type Person = {
  name: string;
  kind: string;
  dose: number;
  limit: number;
  hours: number;
};

export type Report = {
  title: string;
  night: string;
  from: string;
  to: string;
  zones: readonly Zone[];
  happened: readonly Happening[];
  asked: readonly Asker[];
  lamps: readonly Burned[];
  people: readonly Person[];
  frames: readonly string[];
  doubts: readonly string[];
};

export type NightReport = {
  report: Report;
  since: readonly string[];
};

export type Edited = {
  number: number;
  when: string;
  who: string;
  what: string;
  back: number;
  again: number;
};

export type Edits = {
  edits: readonly Edited[];
  undo: Edited;
  redo: Edited;
  broken: string;
};

export type Remark = {
  mark: string;
  mends: boolean;
  signs: boolean;
  finding: Finding;
};

export type Checks = {
  stale: boolean;
  entries: readonly Remark[];
};

export type Cure = {
  what: string;
  file: string;
  costs: string;
  lines: string;
};

export type Sought = {
  try: number;
  of: number;
  cure: Cure;
  text: string;
};

export type Turn = {
  step: string;
  stands: boolean;
  what: string;
  usually: number;
  latest: number;
  lasts: number;
  atMost: number;
  ends: string;
  waits?: number;
  standby?: string;
};

export type Turns = {
  zone: string;
  file: string;
  repeats: boolean;
  steps: readonly Turn[];
};

export type Orders = {
  piece: string;
  orders: readonly Turns[];
  opens: boolean;
};

export type RunNow = {
  runs: boolean;
  on: boolean;
  link: string;
  said: string;
};

export type Ticket = {
  path: string;
};

export type SeatRow = {
  place: string;
  behind: string;
  beside: string;
  how: string;
};

export type SeatsNow = {
  place: string;
  eye: boolean;
  takes: string;
  done: number;
  of: number;
  wrong: string;
  light: string;
  rows: readonly SeatRow[];
};

export type SeatBlock = {
  at: number;
  levels: string;
};

export type SeatFrame = {
  at: number;
  rows: string;
};

export type SeatTake = {
  opening: string;
  bin: number;
  blocks: readonly SeatBlock[];
  frames: readonly SeatFrame[];
};

export type Loss = {
  look: string;
  on: string;
  share: number;
};

export type Recent = {
  dir: string;
  title: string;
  opened: string;
};

export type Demo = {
  name: string;
  title: string;
  says: string;
  dir: string;
};

export type Work = {
  kind: string;
  what: string;
  share: number;
  done: boolean;
  failed: string;
  said: string;
  took: number;
};

export type Shows = {
  recent: readonly Recent[];
  demos: readonly Demo[];
  home: string;
  open: string;
  works: readonly Work[];
};

export type What = {
  title: string;
  about: string;
  place: string;
  evening: boolean;
};

export type Music = {
  name: string;
};

export type RoomSize = {
  width: number;
  depth: number;
  height: number;
  front: number;
  walls: string;
  floor: string;
  ceiling: string;
  backdrop: string;
};

export type Area = {
  left: number;
  right: number;
  near: number;
  far: number;
};

export type Seats = {
  id: string;
  name: string;
  area: Area;
  children: boolean;
};

export type Player = {
  id: string;
  name: string;
  x: number;
  y: number;
};

export type Way = {
  id: string;
  name: string;
  points: readonly (readonly [number, number])[];
  width: number;
};

export type People = {
  seats: readonly Seats[];
  playing: Area;
  players: readonly Player[];
  ways: readonly Way[];
};

export type Group = {
  id: string;
  type: string;
  mode: string;
  system: string;
  count: number;
  units: readonly string[];
  slots: string;
};

export type Units = {
  groups: readonly Group[];
};

export type Place = {
  unit: string;
  system: string;
  dark: boolean;
  placed: boolean;
  guessed: boolean;
  at: readonly [number, number, number];
  aim: readonly [number, number, number];
};

export type Places = {
  units: readonly Place[];
};

export type Thing = {
  id: string;
  name: string;
  paint: string;
  width: number;
  height: number;
  x: number;
  y: number;
  z: number;
};

export type Glow = {
  things: readonly Thing[];
};

export type Site = {
  out: string;
  to: string;
  timecode: boolean;
  desk: boolean;
  deskSlots: number;
  scenes: number;
};

export type Guess = {
  file: string;
  line: number;
  question: number;
  what: string;
  text: string;
};

export type Answers = {
  what: What;
  sound: Music;
  room: RoomSize;
  people: People;
  units: Units;
  places: Places;
  glow: Glow;
  site: Site;
  marks: readonly string[];
  said: readonly boolean[];
  guesses: readonly Guess[];
  drafted: boolean;
  faults: readonly string[];
};

export type Kind = {
  name: string;
  own: boolean;
  light: readonly string[];
  modes: readonly string[];
  system: string;
};

export type Asking = {
  dir: string;
  answers: Answers;
  works: readonly Work[];
  kinds: readonly Kind[];
  systems: readonly string[];
  paints: readonly string[];
  materials: readonly string[];
  undo: string;
  redo: string;
};

export type TableSlot = {
  slot: string;
  called: string;
  does: string;
  values: readonly string[];
};

export type TableMode = {
  mode: string;
  slots: readonly TableSlot[];
};

export type Table = {
  modes: readonly TableMode[];
  emitters: readonly string[];
  doubts: readonly string[];
};

export type Begun = {
  dir: string;
};

export type Standing = {
  list: string;
  name: string;
  index: number;
  at: readonly [number, number, number];
  size: readonly [number, number, number];
  faces: readonly [number, number, number];
  across: readonly [number, number, number];
  points: readonly (readonly [number, number, number])[];
  whole: boolean;
};

export type Stood = {
  size: readonly [number, number, number];
  front: number;
  guessed: boolean;
  standing: readonly Standing[];
};
