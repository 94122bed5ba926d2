// The card as a file: a row a putt, in the columns of the importer.
const makeFile = (rules, lengths) => {
  const feetText = (text, unit, pace) => {
    const feet = lengths.feet(text, unit, pace);
    return feet > 0 && feet < Infinity ? lengths.written(feet) : cleanText(text);
  };

  const missText = (putt) =>
    [putt.pace, putt.side === 'none' ? 'on line' : putt.side].filter(Boolean).join(' ');

  // Without how far, a side says nothing that the importer could read.
  const aimText = ({ aimSide, aimBy }) => (aimSide === 'centre' ? aimSide
    : aimSide && aimBy ? (aimBy === 'edge' ? `${aimSide} edge` : `${aimBy} ${aimSide}`) : '');

  const puttCells = (card, hole, at) => {
    const putt = hole.putts[at] ?? newPutt();
    const missed = wasMissed(hole, at);
    return {
      putt: at + 1,
      distance_ft: feetText(putt.length, card.round.unit, paceFeet(card, lengths, rules)),
      result: resultOf(hole, at),
      slope: putt.slope,
      break: putt.turn,
      break_in: aimText(putt),
      miss: missed ? missText(putt) : '',
      cause: missed ? putt.cause : '',
      surface: putt.off ? 'off green' : 'green',
    };
  };

  const holeCells = (card, number) => {
    const hole = holeAt(card, number);
    if (isSkipped(hole)) return [{ hole: number }];
    if (!isWritten(hole)) return [];
    const cells = hole.count === 0 ? [{ putt: 0, result: hole.ending || 'chipped in' }]
      : shownPutts(hole).map((_, at) => puttCells(card, hole, at));
    return cells.map((cell) => ({ hole: number, par: hole.par, ...cell }));
  };

  const roundCells = (card) => {
    const { date, player, course, event, round, stimp } = card.round;
    const cells = { date, player, course, event, round: round.trim(), as_written: card.round.sure };
    cells.stimp_ft = stimp.trim() ? feetText(stimp, 'ft', rules.lengths.pace_ft) : '';
    return cells;
  };

  // A hole before the first or after the last that is written was not played: its number alone.
  const rowsOf = (card) => {
    const numbers = order(card, rules);
    const written = numbers.map((number) => isWritten(holeAt(card, number)));
    const [first, last] = [written.indexOf(true), written.lastIndexOf(true)];
    return numbers.flatMap((number, at) => {
      if (first < 0 || (number > rules.last_regular && at > last)) return [];
      return at < first || at > last ? [{ hole: number }] : holeCells(card, number);
    });
  };

  const text = (card) => {
    const once = roundCells(card);
    const rows = rowsOf(card);
    const lines = rows.map((row) => rules.columns
      .map((name) => cell({ ...once, ...row }[name])).join(','));
    return [rules.columns.join(','), ...lines, ''].join('\n');
  };

  const name = (card) => {
    const { date, course, round } = card.round;
    const parts = [date || 'undated', nameInFile(course, 60) || 'round'];
    if (Number(round) > 1) parts.push(`round-${Number(round)}`);
    return `${parts.join('-')}.csv`;
  };

  return { text, name };
};
