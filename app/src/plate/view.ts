/**
 * Looking at a picture that is larger than the screen: which part is seen, how it is moved and enlarged.
 * The world has its own unit (mm of a plate, or pixels of a scan without a scale), x right, y down.
 */

/** x′ = a x + c y + e, y′ = b x + d y + f: the order a canvas takes them in. */
export interface Affine {
  readonly a: number;
  readonly b: number;
  readonly c: number;
  readonly d: number;
  readonly e: number;
  readonly f: number;
}

export interface Place {
  readonly x: number;
  readonly y: number;
}

export interface Bounds {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

export interface Size {
  readonly width: number;
  readonly height: number;
}

export interface View {
  /** What lies in the middle of the screen. */
  readonly centre: Place;
  readonly pxPerUnit: number;
}

export function mapped(affine: Affine, place: Place): Place {
  return {
    x: affine.a * place.x + affine.c * place.y + affine.e,
    y: affine.b * place.x + affine.d * place.y + affine.f,
  };
}

/** First `inner`, then `outer`. */
export function composed(outer: Affine, inner: Affine): Affine {
  const origin = mapped(outer, { x: inner.e, y: inner.f });
  return {
    a: outer.a * inner.a + outer.c * inner.b,
    b: outer.b * inner.a + outer.d * inner.b,
    c: outer.a * inner.c + outer.c * inner.d,
    d: outer.b * inner.c + outer.d * inner.d,
    e: origin.x,
    f: origin.y,
  };
}

/** The affine way given by where the origin and the two unit steps go. */
export function affineOf(way: (place: Place) => Place): Affine {
  const o = way({ x: 0, y: 0 });
  const x = way({ x: 1, y: 0 });
  const y = way({ x: 0, y: 1 });
  return { a: x.x - o.x, b: x.y - o.y, c: y.x - o.x, d: y.y - o.y, e: o.x, f: o.y };
}

/** World to screen. */
export function viewAffine(view: View, size: Size): Affine {
  const k = view.pxPerUnit;
  return { a: k, b: 0, c: 0, d: k, e: size.width / 2 - k * view.centre.x, f: size.height / 2 - k * view.centre.y };
}

export function toWorld(view: View, size: Size, screen: Place): Place {
  return {
    x: view.centre.x + (screen.x - size.width / 2) / view.pxPerUnit,
    y: view.centre.y + (screen.y - size.height / 2) / view.pxPerUnit,
  };
}

/** The view that shows all of `bounds` with a margin, as a share of the screen on each side. */
export function fitted(bounds: Bounds, size: Size, marginShare = 0.04): View {
  const width = Math.max(bounds.right - bounds.left, Number.EPSILON);
  const height = Math.max(bounds.bottom - bounds.top, Number.EPSILON);
  const free = 1 - 2 * marginShare;
  return {
    centre: { x: (bounds.left + bounds.right) / 2, y: (bounds.top + bounds.bottom) / 2 },
    pxPerUnit: Math.min((size.width * free) / width, (size.height * free) / height),
  };
}

export interface Limits {
  readonly least: number;
  readonly most: number;
}

/** Enlarged by `factor` so that what lies under `about` (screen) stays where it is. */
export function zoomed(view: View, size: Size, factor: number, about: Place, limits: Limits): View {
  const pxPerUnit = Math.min(limits.most, Math.max(limits.least, view.pxPerUnit * factor));
  const fixed = toWorld(view, size, about);
  return {
    pxPerUnit,
    centre: {
      x: fixed.x - (about.x - size.width / 2) / pxPerUnit,
      y: fixed.y - (about.y - size.height / 2) / pxPerUnit,
    },
  };
}

/** Moved by a way on the screen; the picture cannot be pushed out of sight. */
export function moved(view: View, byPx: Place, bounds: Bounds): View {
  const clamp = (value: number, lo: number, hi: number): number => Math.min(hi, Math.max(lo, value));
  return {
    ...view,
    centre: {
      x: clamp(view.centre.x - byPx.x / view.pxPerUnit, bounds.left, bounds.right),
      y: clamp(view.centre.y - byPx.y / view.pxPerUnit, bounds.top, bounds.bottom),
    },
  };
}
