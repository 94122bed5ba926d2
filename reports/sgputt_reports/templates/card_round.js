// What is on a card: the round, its holes in the order of play, and what became of each putt.
const FIELDS = ['date', 'player', 'course', 'event', 'round', 'stimp', 'pace'];
const WAYS = ['slope', 'turn', 'pace', 'side', 'cause', 'aimSide', 'aimBy'];

const newPutt = () => ({
  length: '', slope: '', turn: '', pace: '', side: '', cause: '', aimSide: '', aimBy: '', off: false,
});
const newHole = () => ({ par: '', count: null, ending: '', putts: [newPutt()] });

const localDay = (days = 0) => {
  const now = new Date();
  const day = new Date(now.getFullYear(), now.getMonth(), now.getDate() + days);
  const two = (part) => String(part).padStart(2, '0');
  return `${day.getFullYear()}-${two(day.getMonth() + 1)}-${two(day.getDate())}`;
};

const newCard = (rules, begun) => ({
  version: rules.version,
  view: 'round',
  at: null,
  saved: '',
  round: {
    date: begun.date || localDay(),
    player: begun.player,
    course: begun.course,
    event: '',
    round: '1',
    stimp: '',
    unit: begun.unit || 'ft',
    pace: begun.pace || String(rules.lengths.pace_ft),
    length: begun.length,
    first: '1',
    extra: 0,
    sure: '',
  },
  holes: {},
});

const playOff = (card, rules) =>
  Array.from({ length: card.round.extra }, (_, at) => rules.last_regular + 1 + at);

const order = (card, rules) => {
  const first = Number(card.round.first);
  const regular = Array.from(
    { length: Number(card.round.length) },
    (_, at) => ((first - 1 + at) % rules.last_regular) + 1,
  );
  return [...regular, ...playOff(card, rules)];
};

const holeAt = (card, number) => card.holes[number] ?? newHole();

const hasPutt = (putt) => putt.off || putt.length.trim() !== '' || WAYS.some((way) => putt[way]);

const isSkipped = (hole) => hole.ending === 'not played';

const isWritten = (hole) => !isSkipped(hole) && (hole.count !== null || hole.putts.some(hasPutt));

// Putts that are shown: those counted, or the first while none is.
const shownPutts = (hole) => {
  if (isSkipped(hole) || hole.count === 0) return [];
  const count = hole.count ?? 1;
  return Array.from({ length: count }, (_, at) => hole.putts[at] ?? newPutt());
};

// What became of a putt; empty while it is not said.
const resultOf = (hole, at) => {
  if (hole.count === null) return '';
  return at < hole.count - 1 ? 'missed' : hole.ending || 'holed';
};

const wasMissed = (hole, at) => ['missed', 'picked up'].includes(resultOf(hole, at));

// The side from which a putt breaks to the hole.
const highSide = (turn) => ({ 'left to right': 'left', 'right to left': 'right' })[turn];

const paceFeet = (card, lengths, rules) => {
  const feet = lengths.feet(card.round.pace, 'ft', rules.lengths.pace_ft);
  return feet > 0 && feet <= rules.longest_pace_ft ? feet : rules.lengths.pace_ft;
};

const isBlank = (card, begun) => {
  const { course, event, stimp } = card.round;
  return !Object.values(card.holes).some((hole) => isWritten(hole) || isSkipped(hole) || hole.par)
    && ['', begun.course].includes(course) && !event && !stimp;
};
