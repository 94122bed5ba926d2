// What the card and the plan's log share: finding and making elements, and a text as a file.
const at = (id) => document.getElementById(id);

const element = (name, text, attributes = {}) => {
  const made = document.createElement(name);
  made.textContent = text;
  Object.entries(attributes).forEach(([attribute, value]) => made.setAttribute(attribute, value));
  return made;
};

const cleanText = (text) => text.normalize('NFC').split(/\s+/).join(' ')
  .replace(/[\p{Cc}\p{Cs}]|(?![\u200c\u200d\ufe00-\ufe0f])\p{Default_Ignorable_Code_Point}/gu, '')
  .replace(/(^|\s)[\u200c\u200d\ufe00-\ufe0f]+|[\u200c\u200d\ufe00-\ufe0f]+(?=\s|$)/g, '$1')
  .split(/ +/).join(' ').trim();

// As the importer takes it off again: no spreadsheet runs such a text.
const guarded = (text) => text
  .replace(/([,;|\t\r\n])([ \u00a0'"]*[=+\-@＝＋－＠])/g, "$1'$2")
  .replace(/^[ \u00a0'"]*[=+\-@＝＋－＠\t\r\n]/, "'$&");

const quoted = (text) => (/[",;\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);

const cell = (value) => quoted(guarded(cleanText(String(value ?? ''))));

// A name in a file's name: small letters and figures of any script, the rest a dash.
const nameInFile = (text, longest) => text.normalize('NFKD').replace(/\p{M}/gu, '').toLowerCase()
  .replace(/[^\p{L}\p{N}]+/gu, '-').replace(/^-+|-+$/g, '').slice(0, longest);

const download = (name, text) => {
  const link = element('a', '', { download: name });
  // The mark in front tells a spreadsheet that the letters are UTF-8.
  link.href = URL.createObjectURL(new Blob(['\ufeff', text], { type: 'text/csv;charset=utf-8' }));
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
};

// What became of it, in words.
const copyFrom = async (area) => {
  area.focus();
  area.select();
  try {
    await navigator.clipboard.writeText(area.value);
    return 'Copied';
  } catch {
    return document.execCommand('copy') ? 'Copied' : 'Not copied: the text is selected, copy it yourself';
  }
};
