package worksheet

import "math"

// Figure is a number as somebody reckoning by hand may have it: anything between two
// bounds, depending on where it was rounded.
type Figure struct {
	Low   float64 // [SI]
	High  float64 // [SI]
	Place int     // power of ten of the last digit that the digits of the readings leave
}

// exact is the place of numbers that have no last digit, such as the half in a formula.
const exact = -400

// digits is how many significant digits anybody may round to, or to more. Up to the
// usual number the digits of the readings will do as well; who asks for more than that
// wants them even where a reading has fewer.
type digits int

// number is a number without doubt.
func number(v float64) Figure { return Figure{v, v, exact} }

// written is a figure that somebody wrote down for right with its last digit at
// 10^place, and went on with: as written, unrounded, or rounded once more.
func (d digits) written(v float64, place int, right Figure) Figure {
	half := math.Pow10(place) / 2
	f := Figure{v - half, v + half, place}
	if right.Place != exact {
		f.Place = max(place, right.Place, f.place(right.kept()))
	}
	for p := d.keep(f); p > place; p-- {
		f.Low, f.High = min(f.Low, down(v-half, p)), max(f.High, up(v+half, p))
	}
	return f
}

// Meets reports whether f and v, give or take half, have anything in common.
func (f Figure) Meets(v, half float64) bool {
	const spare = 1e-9 // decimal fractions are not exact in binary
	slack := half + spare*math.Max(math.Abs(v), half)
	return v+slack >= f.Low && v-slack <= f.High
}

// size is the larger of the bounds.
func (f Figure) size() float64 { return max(math.Abs(f.Low), math.Abs(f.High)) }

// place returns the power of ten of the n-th significant digit of f.
func (f Figure) place(n digits) int {
	size := f.size()
	if size == 0 {
		return exact
	}
	return leading(size) - int(n) + 1
}

// kept returns how many significant digits the readings leave to f, at least one.
func (f Figure) kept() digits {
	if size := f.size(); size != 0 && f.Place != exact {
		return digits(max(1, leading(size)-f.Place+1))
	}
	return -exact
}

// leading returns the power of ten of the first digit of a number above zero.
func leading(size float64) int {
	e := int(math.Floor(math.Log10(size)))
	switch {
	case size >= math.Pow10(e+1):
		return e + 1
	case size < math.Pow10(e):
		return e - 1
	}
	return e
}

// finest is how many places beyond the coarsest somebody may round to; what is finer
// does not matter.
const finest = 4

// keep returns the power of ten of the last digit of f that must be kept.
func (d digits) keep(f Figure) int {
	switch {
	case f.Place == exact:
		return exact
	case d > usual:
		return f.place(d)
	}
	return max(f.Place, f.place(d))
}

// carried returns f as it may be after rounding it on the way, or not.
func (d digits) carried(f Figure) Figure {
	keep := d.keep(f)
	if keep == exact {
		return f
	}
	low, high := f.Low, f.High
	for p := keep; p > keep-finest; p-- {
		low, high = min(low, down(f.Low, p)), max(high, up(f.High, p))
	}
	return Figure{low, high, f.Place}
}

// tie is how far from a half, in units of the last digit, a half may seem to lie.
const tie = 1e-7

// down rounds to a place, halves downward; up rounds halves upward.
func down(v float64, place int) float64 { return scale(math.Ceil(scale(v, -place)-0.5-tie), place) }
func up(v float64, place int) float64   { return scale(math.Floor(scale(v, -place)+0.5+tie), place) }

// scale returns v times 10^place, dividing where that is exact.
func scale(v float64, place int) float64 {
	if place < 0 {
		return v / math.Pow10(-place)
	}
	return v * math.Pow10(place)
}

// times, over and plus are single operations on figures.
func times(a, b Figure) Figure {
	return corners(a.Low*b.Low, a.Low*b.High, a.High*b.Low, a.High*b.High).as(a, b)
}

func over(a, b Figure) Figure {
	if b.Low <= 0 && b.High >= 0 {
		return Figure{math.NaN(), math.NaN(), exact}
	}
	return corners(a.Low/b.Low, a.Low/b.High, a.High/b.Low, a.High/b.High).as(a, b)
}

func plus(a, b Figure) Figure { return Figure{a.Low + b.Low, a.High + b.High, max(a.Place, b.Place)} }

// as gives a product or quotient of a and b its place: as many significant digits as the
// one with fewer.
func (f Figure) as(a, b Figure) Figure {
	if n := min(a.kept(), b.kept()); n != -exact {
		f.Place = f.place(n)
	}
	return f
}

func corners(a, b, c, d float64) Figure {
	return Figure{min(a, b, c, d), max(a, b, c, d), exact}
}

// hull returns what holds both.
func hull(a, b Figure) Figure {
	return Figure{min(a.Low, b.Low), max(a.High, b.High), max(a.Place, b.Place)}
}
