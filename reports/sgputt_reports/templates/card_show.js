// The page made to say what the card says; nothing typed is ever read back from it.
const UNIT_WORD = { ft: 'feet', m: 'metres', paces: 'paces' };
const COUNTED = ['', 'One', 'Two', 'Three', 'Four', 'Five', 'Six', 'Seven', 'Eight', 'Nine', 'Ten'];

const makeShow = (rules, begun, checks, file) => {
  const press = (button, on) => button.setAttribute('aria-pressed', String(on));
  const fill = (input, value) => { if (input.value !== value) input.value = value; };

  const flag = (input, slot, text) => {
    slot.hidden = !text;
    slot.textContent = text || '';
    if (text) input.setAttribute('aria-invalid', 'true');
    else input.removeAttribute('aria-invalid');
  };

  const state = (card, number) => {
    const hole = holeAt(card, number);
    if (isSkipped(hole)) return 'skipped';
    if (!isWritten(hole)) return 'blank';
    return checks.ofHole(card, number).length ? 'part' : 'done';
  };
  const STATE_WORD = {
    skipped: 'not played', blank: 'nothing written', part: 'something is missing', done: 'written',
  };
  const STATE_SIGN = { skipped: '\u2013', blank: '', part: '!', done: '\u2713' };

  const round = (card, isSeen) => {
    const faults = new Map(checks.ofRound(card).map((fault) => [fault.field, fault.text]));
    FIELDS.forEach((field) => {
      fill(at(field), card.round[field]);
      flag(at(field), at(`${field}-fault`), isSeen(field) && faults.get(field));
    });
    fill(at('first'), card.round.first);
    document.querySelectorAll('#round-view [data-set]').forEach((button) => {
      press(button, card.round[button.dataset.set] === button.dataset.value);
    });
    document.querySelector('[data-entry="pace"]').hidden = card.round.unit !== 'paces' && !faults.has('pace');
    at('date').max = localDay(1);
    at('date').min = rules.earliest;
    const numbers = order(card, rules);
    const here = numbers.includes(card.at) ? card.at : numbers[0];
    at('start').textContent = `Go to hole ${here}`;
  };

  const build = (index) => {
    const panel = at('putt').content.firstElementChild.cloneNode(true);
    const input = panel.querySelector('input');
    input.id = `putt-${index + 1}-length`;
    panel.querySelector('label').htmlFor = input.id;
    panel.querySelector('.fault').id = `${input.id}-fault`;
    input.setAttribute('aria-describedby', `${input.id}-fault`);
    panel.dataset.putt = index;
    return panel;
  };

  const sides = (panel, turn) => {
    const high = highSide(turn);
    panel.querySelectorAll('[data-also]').forEach((also) => {
      const side = also.dataset.also;
      also.textContent = !high || side === 'none' ? '' : side === high ? 'high' : 'low';
    });
  };

  const aim = (panel, values, open) => {
    panel.querySelectorAll('[data-set="aim"]').forEach((button) => {
      const { value } = button.dataset;
      press(button, value === 'centre' ? values.aimSide === value : values.aimBy === value);
    });
    const high = highSide(values.turn);
    const isOther = values.aimBy && (values.aimSide !== high
      || panel.querySelector(`[data-set="aimBy"][data-value="${values.aimBy}"]`));
    const isOpen = open || Boolean(isOther);
    panel.querySelector('[data-part="aims"]').hidden = !isOpen;
    panel.querySelector('[data-do="aims"]').setAttribute('aria-expanded', String(isOpen));
  };

  const putt = (panel, card, hole, index, open) => {
    const values = hole.putts[index] ?? newPutt();
    const result = resultOf(hole, index);
    const last = hole.count === null || index === hole.count - 1;
    panel.querySelector('legend').textContent = result && !last
      ? `Putt ${index + 1}, ${result}` : `Putt ${index + 1}`;
    panel.querySelector('.which').textContent = `Putt ${index + 1}`;
    fill(panel.querySelector('input'), values.length);
    panel.querySelector('.unit').textContent = card.round.unit;
    panel.querySelector('.mark').hidden = card.round.unit !== 'ft';
    panel.querySelector('[data-choice="result"]').hidden = !last;
    panel.querySelector('.missed').hidden = !wasMissed(hole, index);
    aim(panel, values, open);
    panel.querySelectorAll('[data-set]').forEach((button) => {
      const { set, value } = button.dataset;
      if (set === 'aim') return;
      if (set === 'result') press(button, (result === 'picked up' ? 'missed' : result) === value);
      else press(button, set === 'off' ? values.off : values[set] === value);
    });
    sides(panel, values.turn);
  };

  const means = (hole) => {
    if (isSkipped(hole)) return 'This hole is left out of the round.';
    if (hole.count === null) return '';
    if (hole.count === 0) {
      return hole.ending === 'picked up' ? 'The ball was lifted before a putt.' : 'In from off the green, no putt.';
    }
    const struck = `${COUNTED[hole.count]} putt${hole.count === 1 ? '' : 's'}`;
    if (hole.ending === 'picked up') return `${struck} struck, then the ball was lifted.`;
    return `${struck}, the last ${hole.ending === 'conceded' ? 'given' : 'holed'}.`;
  };

  const counts = (hole, open) => {
    const chosen = isSkipped(hole) ? null : hole.count;
    const many = open || chosen > 4;
    document.querySelectorAll('[data-count]').forEach((button) => {
      const count = Number(button.dataset.count);
      press(button, chosen === count);
      button.hidden = count > 4 && !many;
    });
    const more = document.querySelector('[data-do="more"]');
    more.hidden = many;
    more.setAttribute('aria-expanded', String(many));
    const ending = hole.count === 0 && !hole.ending ? 'chipped in' : hole.ending;
    document.querySelectorAll('[data-ending]').forEach((button) => {
      press(button, ending === button.dataset.ending);
    });
  };

  const apart = (hole) => {
    const shown = shownPutts(hole).length;
    const kept = hole.putts.map((each, index) => [each, index])
      .filter(([each, index]) => index >= shown && hasPutt(each)).map(([, index]) => index + 1);
    at('apart').hidden = !kept.length;
    at('apart').textContent = kept.length
      ? `Kept here, but not counted: putt ${kept.join(', ')}.` : '';
  };

  const hole = (card, isSeen, open, aimsOpen) => {
    const number = card.at;
    const values = holeAt(card, number);
    const playsOff = number > rules.last_regular;
    at('hole-title').textContent = playsOff ? `Hole ${number}, play-off` : `Hole ${number}`;
    fill(at('par'), values.par);
    counts(values, open);
    document.querySelector('[data-ending="not played"]').hidden = playsOff;
    at('means').textContent = means(values);
    // What the buttons say by themselves is only heard.
    at('means').classList.toggle('heard', !isSkipped(values) && values.ending === '' && values.count !== 0);
    const panels = at('putts');
    const shown = shownPutts(values);
    while (panels.children.length > shown.length) panels.lastElementChild.remove();
    while (panels.children.length < shown.length) panels.append(build(panels.children.length));
    const faults = new Map(checks.ofHole(card, number).map((fault) => [fault.field, fault.text]));
    shown.forEach((_, index) => {
      const panel = panels.children[index];
      putt(panel, card, values, index, aimsOpen.has(`${number} ${index}`));
      const field = `putt-${index + 1}-length`;
      const text = isSeen(field) && faults.get(field);
      flag(panel.querySelector('input'), panel.querySelector('.fault'), text);
    });
    flag(at('count'), at('count-fault'), isSeen('count') && faults.get('count'));
    apart(values);
    document.querySelector('[data-do="clear"]').hidden = !isWritten(values) && !isSkipped(values);
  };

  const bar = (card, open) => {
    const numbers = order(card, rules);
    const where = numbers.indexOf(card.at);
    const states = numbers.map((number) => state(card, number));
    const written = states.filter((each) => each === 'done').length;
    at('previous').textContent = where > 0 ? `\u2039 ${numbers[where - 1]}` : '\u2039';
    at('previous').disabled = where <= 0;
    at('previous').setAttribute('aria-label', where > 0 ? `Back to hole ${numbers[where - 1]}` : 'No hole before');
    const next = numbers[where + 1];
    at('next').textContent = next ? `${next} \u203a` : 'Save \u203a';
    at('next').setAttribute('aria-label', next ? `On to hole ${next}` : 'On to saving');
    at('progress').textContent = `${written} of ${numbers.length} written`;
    at('ticks').replaceChildren(...states.map((each, index) =>
      element('i', '', { class: `${each}${index === where ? ' here' : ''}` })));
    at('strip').hidden = !open;
    at('strip-button').setAttribute('aria-expanded', String(open));
    at('strip-holes').replaceChildren(...numbers.map((number, index) => {
      const item = document.createElement('li');
      const button = element('button', '', {
        type: 'button', 'data-hole': number, class: states[index],
        'aria-label': `Hole ${number}, ${STATE_WORD[states[index]]}`,
      });
      if (index === where) button.setAttribute('aria-current', 'true');
      button.append(element('b', number), element('small', STATE_SIGN[states[index]], { 'aria-hidden': 'true' }));
      item.append(button);
      return item;
    }));
    const extra = playOff(card, rules);
    document.querySelector('[data-do="add"]').hidden = extra.at(-1) >= rules.last_hole;
    const lastIsBlank = extra.length && !isWritten(holeAt(card, extra.at(-1)));
    document.querySelector('[data-do="drop"]').hidden = !lastIsBlank;
  };

  // Missed putts, to be given a cause after the round.
  const causes = (card) => {
    const found = order(card, rules).flatMap((number) => {
      const values = holeAt(card, number);
      return shownPutts(values).map((each, index) => [number, index, each])
        .filter(([, index]) => wasMissed(values, index));
    });
    const said = found.filter(([, , each]) => each.cause).length;
    at('causes').hidden = !found.length;
    at('causes-title').textContent = `Why putts missed, in your own word (${said} of ${found.length})`;
    const list = at('missed-putts');
    while (list.children.length > found.length) list.lastElementChild.remove();
    while (list.children.length < found.length) list.append(at('missed-putt').content.firstElementChild.cloneNode(true));
    found.forEach(([number, index, each], place) => {
      const box = list.children[place];
      Object.assign(box.dataset, { hole: number, putt: index });
      const how = [each.length.trim() && `from ${each.length.trim()}`, each.pace,
        each.side === 'none' ? 'on line' : each.side].filter(Boolean).join(', ');
      box.querySelector('legend').textContent = `Hole ${number}, putt ${index + 1}${how ? `: ${how}` : ''}`;
      box.querySelectorAll('[data-why]').forEach((button) => press(button, each.cause === button.dataset.why));
    });
  };

  const save = (card) => {
    const faults = checks.ofCard(card);
    const count = faults.length === 1 ? 'One thing stands in the way. Tap it'
      : `${faults.length} things stand in the way. Tap one`;
    at('state').textContent = faults.length
      ? `${count} to correct it; the importer would refuse the round as it is.`
      : 'The importer will take this round.';
    at('faults').replaceChildren(...faults.map((fault, index) => {
      const item = document.createElement('li');
      item.append(element('button', fault.text, { type: 'button', 'data-fault': index }));
      return item;
    }));
    at('sure').hidden = !checks.doubts(card).length;
    press(at('sure'), card.round.sure === 'yes');
    causes(card);
    at('remarks').replaceChildren(...checks.remarks(card).map((text) => element('li', text)));
    at('save').textContent = faults.length ? 'Save it as it stands' : 'Save the file';
    at('save').className = faults.length ? 'plain' : 'main';
    at('text').value = file.text(card);
    at('named').textContent = file.name(card);
    at('named-too').textContent = file.name(card);
    const saved = card.saved && card.saved === file.text(card);
    at('done').textContent = saved ? `Saved as ${file.name(card)}, among your downloads. `
      + 'The card stays here until you start a new one.' : '';
  };

  return { round, hole, bar, save };
};
