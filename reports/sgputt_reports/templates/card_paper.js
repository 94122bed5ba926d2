// The card for a pencil, with what is already typed; blank where nothing is.
const writePaper = (card, rules) => {
  const sheet = document.getElementById('paper');
  const write = (within, key, text) => {
    within.querySelector(`[data-write="${key}"]`).textContent = text;
  };
  const ring = (row, values) => row.querySelectorAll('[data-ring]').forEach((word) => {
    word.classList.toggle('ringed', values.includes(word.dataset.ring));
  });
  const top = sheet.querySelector('dl');
  const started = Object.values(card.holes).some(isWritten);
  ['player', 'course', 'date', 'event', 'stimp'].forEach((key) => write(top, key, card.round[key]));
  write(top, 'round', started ? card.round.round : '');
  write(top, 'unit', started ? UNIT_WORD[card.round.unit] : '');

  const regular = order(card, rules).filter((number) => number <= rules.last_regular);
  sheet.querySelectorAll('tbody').forEach((body, at) => {
    body.hidden = at >= regular.length;
    if (body.hidden) return;
    const hole = holeAt(card, regular[at]);
    const putts = shownPutts(hole);
    write(body, 'hole', regular[at]);
    write(body, 'par', hole.par);
    write(body, 'putts', isSkipped(hole) ? '\u2013' : hole.count ?? '');
    [...body.rows].forEach((row, index) => {
      const putt = putts[index] ?? newPutt();
      write(row, 'length', putt.length);
      write(row, 'aim', putt.aimSide === 'centre' ? 'centre'
        : putt.aimBy ? `${putt.aimBy} ${putt.aimSide}` : '');
      const miss = wasMissed(hole, index) ? [putt.pace, putt.side] : [];
      ring(row, [putt.slope, putt.turn, ...miss]);
    });
    const ended = ['conceded', 'picked up', 'not played'].includes(hole.ending) ? [hole.ending] : [];
    write(body, 'rest', [...putts.slice(2).map((putt) => putt.length), ...ended].join(', '));
  });
};
