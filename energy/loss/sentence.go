package loss

import (
	"fmt"
	"math"
	"strconv"
)

// unit is a multiple of the joule.
type unit struct {
	name  string
	scale float64
}

// units are in falling order.
var units = [...]unit{{"J", 1}, {"mJ", 1e-3}, {"µJ", 1e-6}, {"nJ", 1e-9}}

// joules writes a value with its expanded uncertainty, which gets two significant
// digits; the value ends at the same place, and both stand in the unit that suits the
// larger.
func joules(value, expanded float64) string {
	u, decimals := suited(math.Max(math.Abs(value), expanded), expanded, 2)
	return fmt.Sprintf("%s %s ± %s %s", rounded(value/u.scale, decimals), u.name, rounded(expanded/u.scale, decimals), u.name)
}

// amount writes an energy to a number of significant digits.
func amount(value float64, digits int) string {
	u, decimals := suited(math.Abs(value), value, digits)
	return rounded(value/u.scale, decimals) + " " + u.name
}

// suited returns the unit for an energy of this size, and the decimals that show fine
// to so many significant digits. A unit in which zeros would have to stand for digits
// that are not known gives way to the next larger.
func suited(size, fine float64, digits int) (unit, int) {
	i := 0
	for i+1 < len(units) && size < 0.9995*units[i].scale {
		i++
	}
	if i > 0 && decimalsFor(fine/units[i].scale, digits) < 0 {
		i--
	}
	return units[i], decimalsFor(fine/units[i].scale, digits)
}

// decimalsFor returns the decimals that show a number to so many significant digits,
// negative where even whole units are too fine.
func decimalsFor(v float64, digits int) int {
	v = math.Abs(v)
	if v == 0 || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0
	}
	exponent := int(math.Floor(math.Log10(v)))
	if v >= (10-0.5*math.Pow10(1-digits))*math.Pow10(exponent) { // 9.96 to two digits is 10
		exponent++
	}
	return digits - 1 - exponent
}

func rounded(v float64, decimals int) string {
	if decimals < 0 {
		step := math.Pow10(-decimals)
		return strconv.FormatFloat(math.Round(v/step)*step, 'f', 0, 64)
	}
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if f, _ := strconv.ParseFloat(s, 64); f == 0 { // no minus before a zero
		s = strconv.FormatFloat(0, 'f', decimals, 64)
	}
	return s
}

// percent writes a share to two significant digits, never below 0.1 %.
func percent(share float64) string {
	p := math.Max(100*share, 0.1)
	return rounded(p, max(0, decimalsFor(p, 2))) + " %"
}
