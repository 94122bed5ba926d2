// What would keep the importer from taking the card, in its own words.
const makeChecks = (rules, lengths) => {
  const said = (where, key, values = {}) => {
    const fill = (text) => text.replace(/\{(\w+)\}/g, (_, name) => values[name] ?? '');
    const { what, hint } = rules.says[key];
    return `${where}: ${fill(what)}${what.endsWith('?') ? '' : '.'} ${fill(hint)}`;
  };
  const shown = (text) => (text.length > 60 ? `${text.slice(0, 60)}...` : text);
  const fault = (where, field, key, values, hole = null) =>
    ({ text: said(where, key, values), field, hole, view: hole === null ? 'round' : 'holes' });
  const plainName = (text) => (rules.dashes.includes(text.trim()) ? '' : text.trim());

  const date = (card) => {
    const value = card.round.date;
    const key = !value ? 'no_date'
      : value > localDay(1) ? 'future' : value < rules.earliest ? 'early' : null;
    return key && fault('Date', 'date', key, { value });
  };

  const name = (card, field, label) => {
    const signs = [...cleanText(card.round[field])];
    const values = { start: signs.slice(0, 30).join(''), count: signs.length };
    return signs.length > rules.longest_name && fault(label, field, 'name', values);
  };

  const number = (card) => {
    const value = card.round.round.trim();
    const [low, high] = rules.rounds;
    const fine = value === '' || (/^[0-9]{1,6}$/.test(value) && value >= low && value <= high);
    return !fine && fault('Round', 'round', 'round', { value: shown(value) });
  };

  const stimp = (card) => {
    const value = card.round.stimp.trim();
    if (!plainName(value)) return null;
    const feet = lengths.feet(value, 'ft', rules.lengths.pace_ft);
    const [low, high] = rules.stimp_ft;
    const fine = feet !== null && feet >= low && feet <= high;
    return !fine && fault('Green speed', 'stimp', 'stimp', { value: shown(value) });
  };

  const pace = (card) => {
    const value = card.round.pace.trim();
    const feet = lengths.feet(value, 'ft', rules.lengths.pace_ft);
    const fine = feet > 0 && feet <= rules.longest_pace_ft;
    return !fine && fault('Pace', 'pace', 'pace', { value: shown(value) });
  };

  const length = (card, hole, at, where, place) => {
    const value = hole.putts[at]?.length.trim() ?? '';
    if (!value || rules.dashes.includes(value)) {
      return at === 0 && hole.count !== null && fault(where, place, 'first_length', {}, true);
    }
    const feet = lengths.feet(value, card.round.unit, paceFeet(card, lengths, rules));
    const key = feet === null ? 'length'
      : !(feet > 0 && feet < Infinity) ? 'length_zero'
        : Number(lengths.written(feet)) > rules.lengths.longest_ft ? 'length_long' : null;
    return key && fault(where, place, key, { value: shown(value) }, true);
  };

  const ofHole = (card, number) => {
    const hole = holeAt(card, number);
    if (!isWritten(hole)) return [];
    const faults = hole.count === null
      ? [fault(`Hole ${number}`, 'count', 'count', {}, number)] : [];
    shownPutts(hole).forEach((_, at) => {
      const found = length(card, hole, at, `Hole ${number}, putt ${at + 1}`, `putt-${at + 1}-length`);
      if (found) faults.push({ ...found, hole: number });
    });
    return faults;
  };

  // 5, 6, 7 and 9 as "5-7, 9".
  const runs = (numbers) => [...numbers].sort((a, b) => a - b).reduce((found, number) => {
    const last = found.at(-1);
    if (last && last[1] === number - 1) last[1] = number;
    else found.push([number, number]);
    return found;
  }, []).map(([from, to]) => (from === to ? from : `${from}-${to}`)).join(', ');

  const gaps = (card, numbers, key) => {
    const written = numbers.map((number) => isWritten(holeAt(card, number)));
    const from = key === 'play_off' ? 0 : written.indexOf(true);
    const to = written.lastIndexOf(true);
    const missing = numbers.filter((number, at) => at >= from && at < to && !written[at]
      && !(key === 'gap' && isSkipped(holeAt(card, number))));
    if (key === 'gap' && missing.length > 1) {
      const holes = `holes ${runs(missing)}`;
      return [fault(holes.replace('h', 'H'), 'count', 'gaps', { holes }, missing[0])];
    }
    return missing.map((number) => {
      const at = numbers.indexOf(number);
      const next = numbers.find((_, later) => later > at && written[later]);
      return fault(`Hole ${number}`, 'count', key, { hole: number, next }, number);
    });
  };

  const inFeet = (card, putt) => {
    const feet = lengths.feet(putt.length, card.round.unit, paceFeet(card, lengths, rules));
    return feet > 0 && feet <= rules.lengths.longest_ft ? feet : null;
  };
  const brief = (feet) => Number(feet.toPrecision(3));

  // What can hardly be true, of one hole: the importer asks the same.
  const doubtsOf = (card, number) => {
    const most = rules.doubts;
    const hole = holeAt(card, number);
    const putts = isWritten(hole) ? shownPutts(hole) : [];
    const feet = putts.map((putt) => inFeet(card, putt));
    const doubt = (key, at, values) => ({
      ...fault(`Hole ${number}`, at < 0 ? 'count' : `putt-${at + 1}-length`, key,
        { hole: number, ...values }, number),
      isDoubt: true,
    });
    const found = [];
    feet.forEach((after, at) => {
      const before = feet[at - 1];
      if (!before || !after) return;
      if ((after > before && after > most.long_later_ft)
        || (after > most.share_of_before * before && after > most.share_from_ft)
        || (after > most.times_before * before && after > most.times_from_ft)) {
        found.push(doubt('later', at, { after: brief(after), before: brief(before) }));
      }
    });
    const last = feet.at(-1);
    if (hole.ending === 'conceded' && last > most.long_given_ft) {
      found.push(doubt('given', feet.length - 1, { after: brief(last) }));
    }
    if (putts.length >= most.many_putts) found.push(doubt('many', -1, { count: putts.length }));
    putts.forEach((putt, at) => {
      const inches = rules.aims[putt.aimBy] ?? 0;
      const wrong = { 'left to right': 'right', 'right to left': 'left' }[putt.turn];
      if (putt.aimSide === wrong && inches > most.aim_from_in) {
        found.push(doubt('aim', at, { side: wrong, break: putt.turn }));
      }
    });
    return found;
  };

  const outside = (card, numbers) => Object.keys(card.holes).map(Number)
    .filter((number) => !numbers.includes(number) && isWritten(card.holes[number]))
    .map((number) => ({
      text: `Hole ${number}: it is written, but not among the holes of this card. `
        + `Choose ${rules.last_regular} holes, or another first hole.`,
      field: 'length', hole: null, view: 'round',
    }));

  const ofRound = (card) => [
    date(card), name(card, 'player', 'Player'), name(card, 'course', 'Course'),
    name(card, 'event', 'Event'), number(card), stimp(card), pace(card),
  ].filter(Boolean);

  const doubts = (card) => {
    const numbers = order(card, rules);
    return numbers.flatMap((number) => doubtsOf(card, number));
  };

  const ofCard = (card) => {
    const numbers = order(card, rules);
    const regular = numbers.filter((number) => number <= rules.last_regular);
    const played = Object.values(card.holes).some(isWritten);
    return [
      ...ofRound(card),
      ...(played ? [] : [{ ...fault('Card', 'count', 'nothing', {}, numbers[0]) }]),
      ...outside(card, numbers),
      ...gaps(card, regular, 'gap'),
      ...gaps(card, playOff(card, rules), 'play_off'),
      ...numbers.flatMap((number) => ofHole(card, number)),
      ...(card.round.sure ? [] : doubts(card)),
    ];
  };

  // Nothing wrong, yet worth a word before the file is written.
  const remarks = (card) => {
    const found = [];
    const { player, course } = card.round;
    if (!plainName(player)) found.push("No player is written: the importer will call them 'unknown'.");
    if (!plainName(course)) found.push("No course is written: the importer will call it 'unknown'.");
    const bare = order(card, rules).filter((number) => {
      const hole = holeAt(card, number);
      return shownPutts(hole).some((putt, at) => at > 0 && !putt.length.trim());
    });
    if (bare.length) {
      found.push(`Hole ${bare.join(', ')}: a later putt has no length. That is allowed; `
        + 'how far the ball was left then stays unknown.');
    }
    return found;
  };

  return { ofRound, ofHole, ofCard, doubts, remarks };
};
