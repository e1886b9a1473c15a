// The numbers at the energy axis, the same for every picture.

import { decimal } from './numbers.js';
import { decimalsOf, energyUnit } from './scale.js';

/** @typedef {import('./state.js').State} State */
/** @typedef {import('./paper.js').Sheet} Sheet */
/** @typedef {import('./paper.js').Box} Box */

/** @param {State} state */
export function unitOf(state) {
  return energyUnit(state.settings.unit, state.axis.high);
}

/** Texts of the axis positions, the unit once, at the top. @param {State} state */
export function axisTexts(state) {
  const unit = unitOf(state);
  const values = state.axis.ticks().map((v) => v * unit.factor);
  return values.map((v, i) => decimal(v, decimalsOf([v])) + (i === values.length - 1 ? ` ${unit.name}` : ''));
}

/**
 * Room [px] that the numbers need at the left of a picture.
 * @param {State} state @param {Sheet} sheet
 */
export function axisRoom(state, sheet) {
  return sheet.measure(axisTexts(state)) + 0.5 * sheet.paper.size['axis-size'];
}

/** @param {State} state @param {Sheet} sheet @param {Box} plot */
export function writeAxis(state, sheet, plot) {
  const { axis } = state;
  const texts = axisTexts(state);
  const right = plot.x - 0.35 * sheet.paper.size['axis-size'];
  axis.ticks().forEach((tick, i) => {
    const y = plot.y + ((axis.high - tick) / (axis.high - axis.low)) * plot.h;
    sheet.write(texts[i], right, y, 'right', 'middle');
  });
}
