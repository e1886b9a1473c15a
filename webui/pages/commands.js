// What can be done by one key: the same list runs the keys and fills the help.

/** The parts of the page; each can fill it. */
export const PARTS = Object.freeze(['all', 'column', 'well', 'energies', 'extension', 'force', 'sketch']);

/** @type {readonly Command[]} */
export const COMMANDS = Object.freeze([
  { key: 'f', word: 'freeze', run: (desk) => desk.toggleFreeze() },
  { key: 'ArrowLeft', word: 'reading', frozen: true, run: (desk) => desk.step(-1) },
  { key: 'ArrowRight', word: 'reading', frozen: true, run: (desk) => desk.step(1) },
  { key: 'PageDown', word: 'turn', frozen: true, run: (desk) => desk.state.stepTurning(-1) },
  { key: 'PageUp', word: 'turn', frozen: true, run: (desk) => desk.state.stepTurning(1) },
  { key: 'Home', word: 'ends', frozen: true, run: (desk) => desk.state.show(0) },
  { key: 'End', word: 'ends', frozen: true, run: (desk) => desk.state.show(Infinity) },
  { key: 'p', word: 'again', run: (desk) => desk.play(1) },
  { key: 'q', word: 'quarter', run: (desk) => desk.play(1 / 4) },
  { key: 't', word: 'tenth', run: (desk) => desk.play(1 / 10) },
  ...PARTS.map((part, i) => ({ key: String(i), word: part, run: (/** @type {Desk} */ desk) => desk.lookAt(part) })),
  { key: 'u', word: 'unit', run: (desk) => desk.next('unit') },
  { key: 'z', word: 'zero', run: (desk) => desk.next('zero') },
  { key: 'b', word: 'below', run: (desk) => desk.next('below') },
  { key: 'g', word: 'look', run: (desk) => desk.next('look') },
  { key: 'c', word: 'count', run: (desk) => desk.state.countFromNow() },
  { key: 'Escape', word: 'escape', run: (desk) => desk.escape() },
  { key: '?', word: 'help', run: (desk) => desk.openHelp() },
]);

/**
 * The command of a key press; none while something is typed or chosen, and none of
 * one character while those are switched off.
 * @param {{key: string, ctrlKey: boolean, altKey: boolean, metaKey: boolean}} event
 * @param {{typing: boolean, frozen: boolean, characters: boolean}} now
 * @returns {Command | undefined}
 */
export function commandOf(event, { typing, frozen, characters }) {
  if (event.ctrlKey || event.altKey || event.metaKey) return undefined;
  if (typing && event.key !== 'Escape') return undefined;
  if (!characters && event.key.length === 1) return undefined;
  const key = event.key.length === 1 ? event.key.toLowerCase() : event.key;
  return COMMANDS.find((c) => c.key === key && (frozen || !c.frozen));
}
