// Shapes, as the plots reckon them, made into elements.

/**
 * One thing that is drawn, in px. The class says by what pen; style sheets know it.
 * @typedef {{tag: 'line' | 'circle' | 'rect' | 'polygon' | 'polyline' | 'text', class: string, at: Record<string, number | string>, text?: string}} Shape
 */

const SPACE = 'http://www.w3.org/2000/svg';

/**
 * A picture with a name for who cannot see it.
 * @param {Shape[]} shapes @param {number} width [px] @param {number} height [px] @param {string} name
 */
export function picture(shapes, width, height, name) {
  const svg = document.createElementNS(SPACE, 'svg');
  svg.setAttribute('viewBox', `0 0 ${width} ${height}`);
  svg.setAttribute('width', String(width));
  svg.setAttribute('height', String(height));
  svg.setAttribute('role', 'img');
  svg.setAttribute('aria-label', name);
  svg.append(...shapes.map(drawn));
  return svg;
}

/** @param {Shape} shape */
export function drawn(shape) {
  const e = document.createElementNS(SPACE, shape.tag);
  e.setAttribute('class', shape.class);
  for (const [key, value] of Object.entries(shape.at)) {
    e.setAttribute(key, typeof value === 'number' ? String(Math.round(value * 100) / 100) : value);
  }
  if (shape.text !== undefined) e.textContent = shape.text;
  return e;
}

/** Shapes that are pressed together, with one name. @param {Shape[]} shapes @param {string} name */
export function pressable(shapes, name) {
  const g = document.createElementNS(SPACE, 'g');
  g.setAttribute('role', 'button');
  g.setAttribute('aria-label', name);
  g.append(...shapes.map(drawn));
  return g;
}
