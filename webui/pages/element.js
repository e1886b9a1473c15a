// Small helpers for elements of the page.

/** @param {string} id @returns {any} */
export function find(id) {
  const element = document.getElementById(id);
  if (!element) throw new Error(`the page has no element ${id}`);
  return element;
}

/** Changes a text only where it differs: what stays is not laid out anew. @param {Element} e @param {string} text */
export function set(e, text) {
  if (e.textContent !== text) e.textContent = text;
}

/** @param {string} tag @param {string} className @param {string} [text] @param {boolean} [hidden] from the screen reader */
export function make(tag, className, text = '', hidden = false) {
  const e = document.createElement(tag);
  e.className = className;
  e.textContent = text;
  if (hidden) e.setAttribute('aria-hidden', 'true');
  return e;
}

/** A button that shows whether it is pressed. @param {string} text @param {() => void} pressed */
export function pushButton(text, pressed) {
  const button = /** @type {HTMLButtonElement} */ (make('button', '', text));
  button.type = 'button';
  button.setAttribute('aria-pressed', 'false');
  button.onclick = pressed;
  return button;
}

/** Puts the words where the page asks for them. @param {Record<string, any>} words */
export function fillWords(words) {
  for (const e of document.querySelectorAll('[data-word]')) e.textContent = words[e.getAttribute('data-word') ?? ''];
  for (const e of document.querySelectorAll('[data-name]')) {
    const word = words[e.getAttribute('data-name') ?? ''];
    e.setAttribute('aria-label', word);
    if (e instanceof HTMLInputElement && e.type === 'text') e.placeholder = word;
  }
}

/**
 * Links to the pages there are; with one there is nothing to choose.
 * @param {HTMLElement} nav @param {readonly [string, string][]} pages path and name
 */
export function fillPages(nav, pages) {
  nav.hidden = pages.length < 2;
  for (const [path, name] of pages) {
    const link = /** @type {HTMLAnchorElement} */ (make('a', '', name));
    link.href = path;
    if (path === location.pathname) link.setAttribute('aria-current', 'page');
    nav.append(link);
  }
}
