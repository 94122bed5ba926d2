// What the player sees and does: one block a screen, two buttons a ball.
const data = JSON.parse(at('plan-data').textContent);
const keep = makeKeep(data.id, data.version);
const REST_S = 120;
const RESTED_LATELY_S = 8 * 60;
const MOST_NAME = 200;
const now = () => Math.floor(Date.now() / 1000);
const newLog = () => ({
  version: data.version, player: data.player ?? '', view: 'plan', session: 0, block: 0, sets: {},
  since: null, rested: null, saved: '',
});

let log = keep.read() ?? newLog();
let restUntil = null;
let isKept = true;

const blocks = () => data.sessions[log.session].blocks;
const block = () => blocks()[log.block];
const key = (session, index) => `${session}.${index}`;
const setAt = (session, index) => log.sets[key(session, index)] ?? { balls: [], goesOn: false };
const countAt = (session, index) => {
  const set = setAt(session, index);
  return countOf(data.sessions[session].blocks[index].rule, set.balls, set.goesOn);
};
const many = (count, word) => `${count} ${word}${count === 1 ? '' : 's'}`;
const hear = (text) => { at('heard').textContent = text; };
// As the drawing has it: to 5 cm below a metre, else to 10 cm.
const lengthOf = (feet) => {
  const metres = feet * 0.3048;
  const steps = metres < 1 ? 20 : 10;
  return data.shown_in === 'metres' ? `${Math.round(metres * steps) / steps} m` : `${feet} ft`;
};

// Every set with a ball, session by session, as rows of the file.
const rows = () => data.sessions.flatMap((session, number) => session.blocks
  .map((each, index) => [each, setAt(number, index)])
  .filter(([each, set]) => each.drill && set.balls.length)
  .map(([each, set]) => rowOf(each, set, log.player)));
const text = () => fileText(data.columns, rows());
const name = () => fileName(rows(), log.player);

const titleOf = (each) => (each.set > 1 ? `${each.name}, set ${each.set}` : each.name);

const resultOf = (each, count) => {
  if (!count.balls) return 'not begun';
  const score = each.rule.in_a_row
    ? `${many(count.balls, 'ball')}, ${many(count.misses, 'restart')}`
    : `${count.made} of ${many(count.balls, 'ball')}`;
  if (count.passed) return `${score}: passed`;
  if (count.isOver) return each.mark ? `${score}: not passed` : score;
  return `${score}, ${count.left} left`;
};

const showPlan = () => {
  at('green-sessions').replaceChildren(...data.sessions.flatMap((session, number) => {
    const drills = session.blocks.map((each, index) => [each, index]).filter(([each]) => each.drill);
    const begun = drills.filter(([, index]) => setAt(number, index).balls.length);
    const open = drills.find(([, index]) => !countAt(number, index).isOver);
    const which = data.sessions.length > 1 ? `session ${session.number}` : 'the session';
    const verb = !begun.length ? 'Start' : open ? 'Go on with' : 'Look at';
    const button = element('button', `${verb} ${which}`, { type: 'button', class: 'main', 'data-session': number });
    const done = drills.filter(([, index]) => countAt(number, index).isOver).length;
    return begun.length ? [button, element('p', `${done} of ${many(drills.length, 'set')} done`)] : [button];
  }));
  at('green-save').hidden = !rows().length;
};

const wordsOf = (each) => [
  ['Set-up', each.setup], ['Do', each.do], ['Set up for you', each.changed],
  ['Success', each.success], ['Take care', each.safety],
].filter(([, words]) => words);

const drawingOf = (drill) => [...document.querySelectorAll('[data-plan]')]
  .find((node) => node.dataset.plan === drill && node.querySelector('svg'));

const showDrawing = (each) => {
  const box = at('drawing');
  if (box.dataset.drill === each.drill) return;
  box.dataset.drill = each.drill;
  const figure = drawingOf(each.drill)?.querySelector('[role="img"]');
  box.replaceChildren(...(figure ? [figure.cloneNode(true)] : []));
};

const nextTee = (rule, count) => {
  const tee = rule.tees[count.run % (rule.tees.length || 1)];
  return tee && !count.isOver ? `Next: ball ${count.run + 1} of ${rule.in_a_row}, ${lengthOf(tee.length_ft)}, ${tee.slope}` : '';
};

const tally = (each, count) => {
  const { rule } = each;
  if (!rule.in_a_row) return [`${count.made}`, `of ${many(count.balls, 'ball')}`, `${count.left} left`];
  const within = rule.goal_balls > count.balls
    ? `${rule.goal_balls - count.balls} left for the mark` : `${count.left} left in the set`;
  return [`${count.run}`, `in a row of ${rule.in_a_row}`,
    `${many(count.balls, 'ball')}, ${many(count.misses, 'restart')}; ${within}`];
};

const verdict = (each, count) => {
  if (count.passed) return each.rule.in_a_row ? `Passed with ball ${count.through}.` : `Passed: ${count.made} of ${count.balls}.`;
  if (!each.mark) return 'Done.';
  if (count.through) return `In a row, but over the ${each.rule.goal_balls} balls of the mark.`;
  return each.rule.in_a_row ? 'The set is over. Not passed this time.' : `${count.made} of ${count.balls}. Not passed this time.`;
};

const showDrill = (each) => {
  const count = countAt(log.session, log.block);
  at('drill-name').textContent = titleOf(each);
  at('drill-mark').textContent = each.mark || each.success;
  showDrawing(each);
  at('how-words').replaceChildren(...wordsOf(each).flatMap(([term, words]) => [element('dt', term), element('dd', words)]));
  const [big, beside, under] = tally(each, count);
  at('big').textContent = big;
  at('beside').textContent = beside;
  at('under').textContent = under;
  at('next-tee').textContent = nextTee(each.rule, count);
  at('balls').replaceChildren(...setAt(log.session, log.block).balls.map(([made]) =>
    element('i', '', { class: made ? 'made' : 'missed' })));
  at('two').hidden = count.isOver;
  at('over').hidden = !count.isOver;
  at('verdict').textContent = count.isOver ? verdict(each, count) : '';
  at('verdict').className = count.passed ? 'passed' : '';
  at('rest-of-set').hidden = !(count.isOver && count.left && !each.rule.in_a_row);
  at('rest-of-set').textContent = `Putt the other ${count.left} all the same`;
  at('onward').textContent = log.block + 1 < blocks().length ? 'Next' : 'To the file';
  at('onward').className = count.isOver ? 'main' : 'plain';
  at('undo').disabled = !count.balls;
};

const showScreen = () => {
  const each = block();
  const drills = blocks().filter((other) => other.drill);
  at('place').textContent = each.drill
    ? `Set ${drills.indexOf(each) + 1} of ${drills.length}, ${each.minutes} min` : 'Break';
  at('drill-view').hidden = !each.drill;
  at('foot').hidden = !each.drill;
  at('break-view').hidden = Boolean(each.drill);
  at('back').disabled = log.block === 0;
  if (each.drill) {
    showDrill(each);
    return;
  }
  at('break-title').textContent = `Break, ${many(each.rest, 'minute')}`;
  if (restUntil === null) startClock(each.rest * 60);
};

const showSave = () => {
  const written = rows();
  at('save-sets').replaceChildren(...data.sessions.flatMap((session, number) => session.blocks.flatMap((each, index) => {
    if (!each.drill || !setAt(number, index).balls.length) return [];
    const item = element('li', '');
    const count = countAt(number, index);
    item.append(element('b', titleOf(each)), element('span', resultOf(each, count), { class: count.passed ? 'passed' : '' }));
    return [item];
  })));
  at('nothing').hidden = written.length > 0;
  at('save').disabled = !written.length;
  if (at('player').value !== log.player) at('player').value = log.player;
  at('text').value = written.length ? text() : '';
  document.querySelectorAll('.named').forEach((node) => { node.textContent = written.length ? name() : 'FILE.csv'; });
  at('saved').textContent = written.length && log.saved === text()
    ? `Saved as ${name()}, among your downloads. The log stays here until you start again.` : '';
};

const show = () => {
  const isOpen = log.view !== 'plan';
  document.documentElement.classList.toggle('on-green', isOpen);
  at('screen').hidden = !isOpen;
  at('block-view').hidden = log.view !== 'block';
  at('save-view').hidden = log.view !== 'save';
  showPlan();
  if (log.view === 'block') showScreen();
  if (log.view === 'save') showSave();
};

const changed = () => {
  isKept = keep.write(log);
  document.querySelectorAll('.unkept').forEach((node) => { node.hidden = isKept; });
  show();
};

// A countdown for a break; it only tells the time.
const tick = () => {
  if (restUntil === null) return;
  const left = Math.max(0, restUntil - now());
  const clock = `${Math.floor(left / 60)}:${String(left % 60).padStart(2, '0')}`;
  at('clock').textContent = clock;
  at('due-clock').textContent = clock;
};

const startClock = (seconds) => {
  restUntil = now() + seconds;
  tick();
};

const rest = () => {
  log.since = null;
  log.rested = now();
  restUntil = null;
};

// Fifteen minutes at work without a rest; a long pause was one.
const seeToTheBack = () => {
  const balls = Object.values(log.sets).flatMap((set) => set.balls.map(([, second]) => second));
  const last = Math.max(0, ...balls);
  if (log.view !== 'block' || log.since === null || at('due').open) return;
  if (now() - last > IDLE_S) return;
  if (now() - log.since >= data.work_minutes * 60) {
    startClock(REST_S);
    at('due').showModal();
  }
};

const goTo = (index) => {
  const other = blocks()[index];
  if (!other) log.view = 'save';
  else if (other.rest && log.rested && now() - log.rested < RESTED_LATELY_S && index > log.block) {
    goTo(index + 1);
    return;
  } else log.block = index;
  restUntil = null;
  at('how').open = Boolean(other?.drill) && !setAt(log.session, log.block).balls.length;
  changed();
  at('middle').scrollTop = 0;
  at(log.view === 'save' ? 'save-title' : other.rest ? 'break-title' : 'drill-name').focus({ preventScroll: true });
};

const putt = (succeeded) => {
  const set = (log.sets[key(log.session, log.block)] ??= { balls: [], goesOn: false });
  if (countOf(block().rule, set.balls, set.goesOn).isOver) return;
  const second = now();
  const before = Math.max(0, ...Object.values(log.sets).flatMap((each) => each.balls.map(([, then]) => then)));
  if (log.since === null || second - before > IDLE_S) log.since = second;
  set.balls.push([succeeded, second]);
  at('how').open = false;
  changed();
  const count = countOf(block().rule, set.balls, set.goesOn);
  const [big, beside] = tally(block(), count);
  hear(count.isOver ? at('verdict').textContent : `${big} ${beside}`);
  if (count.isOver) at('onward').focus({ preventScroll: true });
  seeToTheBack();
};

const undo = () => {
  const set = log.sets[key(log.session, log.block)];
  if (!set?.balls.length) return;
  set.balls.pop();
  if (!countOf(block().rule, set.balls, false).passed) set.goesOn = false;
  changed();
  hear(`Taken back. ${many(set.balls.length, 'ball')} so far`);
};

const openSession = (number) => {
  log.session = number;
  log.view = 'block';
  const open = blocks().findIndex((each, index) => each.drill && !countAt(number, index).isOver);
  goTo(Math.max(0, open));
};

const saveFile = () => {
  const content = text();
  download(name(), content);
  log.saved = content;
  changed();
};

const copyText = async () => {
  at('as-text').open = true;
  hear(await copyFrom(at('text')));
};

const startAgain = () => {
  at('again-question').textContent = log.saved === text()
    ? 'Clear the log and start again?' : 'These sets are not saved as a file yet. Clear them all the same?';
  at('again').showModal();
};

const clear = () => {
  at('again').close();
  log = { ...newLog(), player: log.player };
  changed();
  window.scrollTo(0, 0);
};

const DO = {
  done: () => putt(1),
  missed: () => putt(0),
  undo,
  back: () => goTo(log.block - 1),
  onward: () => goTo(log.block + 1),
  rested: () => { rest(); goTo(log.block + 1); },
  'rested-now': () => { rest(); at('due').close(); changed(); },
  more: () => { log.sets[key(log.session, log.block)].goesOn = true; changed(); },
  plan: () => { log.view = 'plan'; changed(); },
  'to-save': () => { log.view = 'save'; changed(); at('save-title').focus({ preventScroll: true }); },
  'to-block': () => openSession(log.session),
  save: saveFile,
  copy: copyText,
  again: startAgain,
  keep: () => at('again').close(),
  clear,
};

document.addEventListener('click', (event) => {
  const button = event.target.closest('button');
  if (!button) return;
  if (button.dataset.session) openSession(Number(button.dataset.session));
  else DO[button.dataset.do]?.();
});

at('player').addEventListener('input', (event) => {
  log.player = event.target.value.slice(0, MOST_NAME);
  changed();
});

// Escape leaves a question unanswered, but a break is not refused by accident.
at('due').addEventListener('cancel', (event) => event.preventDefault());

window.addEventListener('storage', (event) => {
  if (!keep.isMine(event) || !event.newValue) return;
  const { view, session, block: index } = log;
  log = { ...(keep.read() ?? log), view, session, block: index };
  show();
});

window.addEventListener('beforeunload', (event) => {
  if (!isKept && rows().length && log.saved !== text()) event.preventDefault();
});

setInterval(() => { tick(); seeToTheBack(); }, 1000);
at('green').hidden = false;
changed();
