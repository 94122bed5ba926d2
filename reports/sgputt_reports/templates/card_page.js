// What the player does, to the card.
const given = JSON.parse(at('given').textContent);
const { rules, begun } = given;
const lengths = makeLengths(rules.lengths);
const checks = makeChecks(rules, lengths);
const file = makeFile(rules, lengths);
const keep = makeKeep(given.id, rules.version);
const show = makeShow(rules, begun, checks, file);

let card = keep.read() ?? newCard(rules, begun);
let stripOpen = false;
let moreOpen = false;
let checkedAll = false;
// A field that is taken off the page while it has the focus says "change" in the midst of that.
let showing = false;
// Fields that were left once; until then a fault in them is only something unfinished.
const left = new Set();

// Putts, as "hole index", whose rarer aims are shown.
const aimsOpen = new Set();

const hear = (text) => { at('heard').textContent = text; };
const current = () => (card.holes[card.at] ??= newHole());

const showAll = () => {
  showing = true;
  const numbers = order(card, rules);
  if (!numbers.includes(card.at)) [card.at] = numbers;
  ['round', 'holes', 'save'].forEach((view) => {
    at(`${view}-view`).hidden = card.view !== view;
    const button = document.querySelector(`[data-view="${view}"]`);
    if (card.view === view) button.setAttribute('aria-current', 'page');
    else button.removeAttribute('aria-current');
  });
  const isSeen = (field) => checkedAll || left.has(field);
  const isSeenHere = (field) => checkedAll || left.has(`${card.at} ${field}`) || left.has(card.at);
  at('bar').hidden = card.view !== 'holes';
  // On the course every line of the screen is wanted for the hole.
  document.querySelector('h1').classList.toggle('heard', card.view === 'holes');
  at('rule').classList.toggle('heard', card.view === 'holes');
  show.round(card, isSeen);
  show.hole(card, isSeenHere, moreOpen, aimsOpen);
  show.bar(card, stripOpen);
  if (card.view === 'save') show.save(card);
  document.querySelector('[data-do="back"]').hidden = !(isBlank(card, begun) && keep.readBefore());
  showing = false;
};

const changed = () => {
  at('unkept').hidden = keep.write(card);
  showAll();
};

const goTo = (view, number = card.at) => {
  if (card.view === 'holes') left.add(card.at);
  card.view = view;
  card.at = number;
  stripOpen = false;
  moreOpen = false;
  checkedAll ||= view === 'save';
  changed();
  window.scrollTo(0, 0);
  at({ round: 'round-title', holes: 'hole-title', save: 'save-title' }[view])
    .focus({ preventScroll: true });
};

const ask = (question, answers) => new Promise((resolve) => {
  const dialog = at('ask');
  at('question').textContent = question;
  at('answers').replaceChildren(...answers.map(([value, label]) => {
    const button = element('button', label, { type: 'button' });
    button.addEventListener('click', () => {
      resolve(value);
      dialog.close();
    });
    return button;
  }));
  dialog.addEventListener('close', () => resolve(''), { once: true });
  dialog.showModal();
  at('question').focus();
});

const setCount = (count) => {
  const hole = current();
  const wasOver = ['chipped in', 'not played'].includes(hole.ending);
  hole.count = hole.count === count && !wasOver ? null : count;
  if (wasOver || hole.count === null) hole.ending = '';
  changed();
};

const setEnding = (ending) => {
  const hole = current();
  const again = hole.ending === ending || (ending === 'chipped in' && hole.count === 0 && !hole.ending);
  if (ending === 'not played') {
    [hole.ending, hole.before] = again ? [hole.before ?? '', ''] : [ending, hole.ending];
  } else if (again) {
    hole.ending = '';
    if (hole.count === 0) hole.count = null;
  } else {
    hole.ending = ending;
    hole.count = ending === 'chipped in' ? 0 : hole.count ?? hole.putts.findLastIndex(hasPutt) + 1;
  }
  changed();
};

const setResult = (index, result) => {
  const hole = current();
  const again = resultOf(hole, index) === result;
  const missed = result === 'missed';
  if (missed && index + 1 >= rules.most_putts) return;
  if (missed) hole.count = index + 2;
  else hole.count = again && result === 'holed' && hole.count === 1 ? null : index + 1;
  hole.ending = result === 'conceded' && !again ? 'conceded' : '';
  changed();
  if (!missed) return;
  hear(`Putt ${index + 2} added`);
  // The buttons just used make way for how it was missed.
  at('putts').children[index].querySelector('.missed button').focus({ preventScroll: true });
};

const setPutt = (index, key, value) => {
  const hole = current();
  while (hole.putts.length <= index) hole.putts.push(newPutt());
  const putt = hole.putts[index];
  if (key === 'off') putt.off = !putt.off;
  else if (key === 'length') putt.length = value;
  else {
    const before = highSide(putt.turn) ?? '';
    putt[key] = putt[key] === value ? '' : value;
    // An aim on the high side stays on it.
    if (key === 'turn' && putt.aimBy && putt.aimSide === before) putt.aimSide = highSide(putt.turn) ?? '';
  }
  changed();
};

const setAim = (index, value) => {
  const hole = current();
  while (hole.putts.length <= index) hole.putts.push(newPutt());
  const putt = hole.putts[index];
  const isOff = value === 'centre' ? putt.aimSide === value : putt.aimBy === value;
  putt.aimBy = isOff || value === 'centre' ? '' : value;
  if (isOff || value === 'centre') putt.aimSide = isOff ? '' : value;
  else if (!['left', 'right'].includes(putt.aimSide)) putt.aimSide = highSide(putt.turn) ?? '';
  changed();
};

const setCause = (number, index, cause) => {
  const putt = card.holes[number].putts[index];
  putt.cause = putt.cause === cause ? '' : cause;
  changed();
};

const setUnit = async (unit) => {
  const was = card.round.unit;
  if (unit === was) return;
  const bare = Object.values(card.holes).flatMap((hole) => hole.putts)
    .filter((putt) => lengths.isBare(putt.length));
  if (bare.length) {
    const answer = await ask(
      `Lengths typed so far without a unit: ${bare.length}. What are they?`,
      [['keep', `They are ${UNIT_WORD[was]}`], ['read', `They are ${UNIT_WORD[unit]}`], ['', 'Change nothing']],
    );
    if (!answer) return;
    if (answer === 'keep') bare.forEach((putt) => { putt.length = `${putt.length.trim()} ${was}`; });
  }
  card.round.unit = unit;
  changed();
};

const startNew = async () => {
  const unsaved = !isBlank(card, begun) && card.saved !== file.text(card);
  const answer = await ask(
    unsaved ? 'This round is not saved as a file yet. Start a new card all the same?'
      : 'Start a new card?',
    [['', 'Keep this card'], ['new', 'Start a new card']],
  );
  if (answer !== 'new') return;
  if (!isBlank(card, begun)) keep.writeBefore(card);
  const { player, unit, pace, length } = card.round;
  card = newCard(rules, { ...begun, date: '', course: '', player, unit, pace, length });
  left.clear();
  checkedAll = false;
  goTo('round', null);
  hear('A new card');
};

const bringBack = () => {
  card = keep.readBefore() ?? card;
  goTo('round');
  hear('The card before is back');
};

const clearHole = async () => {
  const answer = await ask(`Clear everything on hole ${card.at}?`,
    [['', 'Keep it'], ['clear', `Clear hole ${card.at}`]]);
  if (answer !== 'clear') return;
  delete card.holes[card.at];
  left.delete(card.at);
  changed();
  at('hole-title').focus();
};

const saveFile = () => {
  const text = file.text(card);
  download(file.name(card), text);
  card.saved = text;
  changed();
};

const copyText = async () => hear(await copyFrom(at('text')));

const typeFoot = (button) => {
  const input = button.closest('.measure').querySelector('input');
  input.focus();
  input.setRangeText("'", input.selectionStart, input.selectionEnd, 'end');
  input.dispatchEvent(new Event('input', { bubbles: true }));
};

const mend = (fault) => {
  goTo(fault.view, fault.hole ?? card.at);
  const field = fault.field === 'length' ? document.querySelector('[data-choice="length"] button')
    : at(fault.field) ?? at('hole-title');
  field.focus();
  field.scrollIntoView({ block: 'center' });
};

const step = (by) => {
  const numbers = order(card, rules);
  const number = numbers[numbers.indexOf(card.at) + by];
  goTo(number ? 'holes' : 'save', number ?? card.at);
};

const toggleText = (button) => {
  const box = at('as-text');
  box.hidden = !box.hidden;
  button.setAttribute('aria-expanded', String(!box.hidden));
};

const DO = {
  start: () => goTo('holes'),
  more: () => {
    moreOpen = true;
    showAll();
    document.querySelector('[data-count="5"]').focus();
  },
  previous: () => step(-1),
  next: () => step(1),
  strip: () => { stripOpen = !stripOpen; showAll(); },
  add: () => { card.round.extra += 1; changed(); hear('A play-off hole is added'); },
  drop: () => { card.round.extra -= 1; changed(); at('strip-button').focus(); },
  clear: clearHole,
  new: startNew,
  back: bringBack,
  save: saveFile,
  sure: () => { card.round.sure = card.round.sure ? '' : 'yes'; changed(); },
  text: toggleText,
  copy: copyText,
  foot: typeFoot,
  aims: (button) => {
    const key = `${card.at} ${puttOf(button)}`;
    if (!aimsOpen.delete(key)) aimsOpen.add(key);
    showAll();
  },
};

const puttOf = (node) => Number(node.closest('[data-putt]').dataset.putt);

at('app').addEventListener('click', (event) => {
  const button = event.target.closest('button');
  if (!button) return;
  const { set, value, count, ending, view, hole, fault, why } = button.dataset;
  if (button.dataset.do) DO[button.dataset.do](button);
  else if (view) goTo(view);
  else if (hole) goTo('holes', Number(hole));
  else if (fault) mend(checks.ofCard(card)[Number(fault)]);
  else if (count) setCount(Number(count));
  else if (ending) setEnding(ending);
  else if (set === 'unit') setUnit(value);
  else if (set === 'length') { card.round.length = value; changed(); }
  else if (why) setCause(Number(button.closest('.why').dataset.hole), puttOf(button), why);
  else if (set === 'aim') setAim(puttOf(button), value);
  else if (set === 'result') setResult(puttOf(button), value);
  else if (set) setPutt(puttOf(button), set, value);
});

const takeTyped = ({ target }) => {
  const { field } = target.dataset;
  if (showing || !field) return;
  if (field === 'length') setPutt(puttOf(target), 'length', target.value);
  else if (field === 'par') { current().par = target.value; changed(); }
  else { card.round[field] = target.value; changed(); }
};

at('app').addEventListener('input', takeTyped);

at('app').addEventListener('change', (event) => {
  const { id } = event.target;
  if (showing || !id || !event.target.dataset.field) return;
  takeTyped(event);
  left.add(id.startsWith('putt-') ? `${card.at} ${id}` : id);
  showAll();
  const slot = at(`${id}-fault`);
  if (slot && !slot.hidden) hear(slot.textContent);
});

at('app').addEventListener('keydown', (event) => {
  if (event.key === 'Escape' && stripOpen) {
    DO.strip();
    at('strip-button').focus();
  }
  if (event.key !== 'Enter' || event.target.dataset.field !== 'length') return;
  event.preventDefault();
  const inputs = [...document.querySelectorAll('#putts input')];
  (inputs[inputs.indexOf(event.target) + 1] ?? at('next')).focus();
});

window.addEventListener('storage', (event) => {
  if (!keep.isMine(event) || !event.newValue) return;
  card = { ...(keep.read() ?? card), view: card.view, at: card.at };
  showAll();
});

window.addEventListener('beforeunload', (event) => {
  if (!at('unkept').hidden && !isBlank(card, begun) && card.saved !== file.text(card)) {
    event.preventDefault();
  }
});

window.addEventListener('beforeprint', () => writePaper(card, rules));

at('app').hidden = false;
changed();
