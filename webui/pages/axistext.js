// The numbers at an axis: of energy, the same for every picture, or of one quantity.

import { decimal } from './numbers.js';
import { decimalsOf, energyUnit } from './scale.js';

/** An axis, and the unit in which its numbers are written: values are times factor. */
/** @typedef {{axis: Axis, name: string, factor: number}} Scale */

/** @param {State} state */
export function unitOf(state) {
  return energyUnit(state.settings.unit, state.axis.high);
}

/** @param {State} state @returns {Scale} */
export function energyScale(state) {
  return { axis: state.axis, ...unitOf(state) };
}

/** Texts of the axis positions, the unit once, at the top. @param {Scale} scale */
export function axisTexts({ axis, name, factor }) {
  const values = axis.ticks().map((v) => v * factor);
  return values.map((v, i) => decimal(v, decimalsOf([v])) + (i === values.length - 1 ? ` ${name}` : ''));
}

/**
 * Room [px] that the numbers need at the left of a picture.
 * @param {Scale} scale @param {Sheet} sheet
 */
export function axisRoom(scale, sheet) {
  return sheet.measure(axisTexts(scale)) + 0.5 * sheet.paper.size['axis-size'];
}

/** @param {Scale} scale @param {Sheet} sheet @param {Box} plot */
export function writeAxis(scale, sheet, plot) {
  const { axis } = scale;
  const texts = axisTexts(scale);
  const size = sheet.paper.size['axis-size'];
  const crowded = plot.h < 2.2 * size;
  axis.ticks().forEach((tick, i) => {
    if (crowded && i > 0 && i < texts.length - 1) return;
    const y = plot.y + ((axis.high - tick) / (axis.high - axis.low)) * plot.h;
    sheet.write(texts[i], plot.x - 0.35 * size, y, 'right', 'middle');
  });
}
