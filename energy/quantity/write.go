package quantity

import (
	"math"
	"strconv"
	"strings"
)

// Text writes a value [SI] of kind k in a unit that suits it, with the digits that show
// fine [SI] to two figures; where fine is zero, to six figures.
func (k Kind) Text(value, fine float64) string {
	u, decimals := k.suited(math.Max(math.Abs(value), fine), fine, 2)
	if fine == 0 {
		return join(strconv.FormatFloat(u.of(value), 'g', 6, 64), u.name)
	}
	return join(Round(u.of(value), decimals), u.name)
}

// Both writes a value and its expanded uncertainty, ending at the same place and in
// the same unit: "34 mJ ± 21 mJ".
func (k Kind) Both(value, expanded float64) string {
	u, decimals := k.suited(math.Max(math.Abs(value), expanded), expanded, 2)
	return join(Round(u.of(value), decimals), u.name) + " ± " + join(Round(u.of(expanded), decimals), u.name)
}

// Rough writes a value [SI] of kind k to so many figures, in a unit that suits it: what
// stands without its uncertainty.
func (k Kind) Rough(value float64, figures int) string {
	u, decimals := k.suited(math.Abs(value), value, figures)
	return join(Round(u.of(value), decimals), u.name)
}

// String writes q so that [Parse] reads it back.
func (q Quantity) String() string {
	full := func(v float64) string { return join(strconv.FormatFloat(v, 'g', -1, 64), kinds[q.Kind].si) }
	s := full(q.Value) + " +- " + full(q.U)
	if !math.IsInf(q.DoF, 1) {
		s += " dof=" + strconv.FormatFloat(q.DoF, 'g', -1, 64)
	}
	return s
}

func (u unit) of(value float64) float64 {
	if u.factor != 0 {
		value /= u.factor
	}
	return value / math.Pow10(u.exponent)
}

// suited returns the unit for a value of this size, and the decimals that show fine to
// so many figures in it. A unit in which zeros would have to stand for digits that are not
// known gives way to a larger one.
func (k Kind) suited(size, fine float64, figures int) (unit, int) {
	var best unit
	decimals, found := 0, false
	for _, u := range kinds[k].units {
		if u.from == never {
			continue
		}
		if !found || size >= 0.9995*u.from || decimals < 0 {
			best, found = u, true
			decimals = decimalsTo(u.of(fine), figures)
		}
	}
	return best, decimals
}

// Decimals returns how many decimals show fine to two figures, negative where whole
// numbers are too fine already; 0 where fine is zero.
func Decimals(fine float64) int { return decimalsTo(fine, 2) }

func decimalsTo(fine float64, figures int) int {
	fine = math.Abs(fine)
	if fine == 0 || math.IsInf(fine, 0) || math.IsNaN(fine) {
		return 0
	}
	exponent := int(math.Floor(math.Log10(fine)))
	if fine >= (10-0.5*math.Pow10(1-figures))*math.Pow10(exponent) { // 9.96 to two figures is 10
		exponent++
	}
	return figures - 1 - exponent
}

// Round writes a number to so many decimals, which may be negative.
func Round(v float64, decimals int) string {
	if decimals < 0 {
		step := math.Pow10(-decimals)
		v, decimals = math.Round(v/step)*step, 0
	}
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" { // no minus before a zero
		s = strings.TrimPrefix(s, "-")
	}
	return s
}

func join(number, unit string) string {
	if unit == "" {
		return number
	}
	return number + " " + unit
}

// PlusMinus writes a value and its expanded uncertainty, both already in the unit that
// stands elsewhere, ending at the same place.
func PlusMinus(value, expanded float64) string {
	d := Decimals(expanded)
	return Round(value, d) + " ± " + Round(expanded, d)
}

// Count writes how many there are of a thing: "1 record", "3 records".
func Count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return strconv.Itoa(n) + " " + thing + "s"
}
