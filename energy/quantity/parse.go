package quantity

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// Parse reads a quantity of a kind as a person writes it: a number with a decimal
// point or a decimal comma, a unit, with or without a space between, and how well it
// is known, in one of these ways.
//
//	71.2cm                 from the last digit written: any value that rounds to this
//	                       one, so u = 1 mm/sqrt 12 = 0.29 mm
//	71.2cm read to 5mm     from the division of the scale: u = 5 mm/sqrt 12
//	71.2cm +- 0.4mm        a standard uncertainty; also "±" and "+/-"
//	71.2 +- 0.4 cm         one unit for both
//	25.0N/m +- 1%          a share of the value
//	250.10g +- 0.02g k=2   an expanded uncertainty with its coverage factor
//	24.9N/m +- 0.1N/m dof=4   with degrees of freedom, say of five repeats
//
// Zeros at the end of a number count as digits: 200 g is read to 1 g. A ratio may do
// without a unit. Whoever writes 1,234 means a number between one and two.
func Parse(text string, kind Kind) (Quantity, error) {
	q, err := parse(text, kind)
	if err != nil {
		return Quantity{}, fmt.Errorf("read %q as %s: %w", shortened(text), kind.one(), err)
	}
	return q, nil
}

// longest is more than anyone writes, in bytes.
const longest = 200

func parse(text string, kind Kind) (Quantity, error) {
	if text = strings.TrimSpace(text); len(text) > longest {
		return Quantity{}, fmt.Errorf("%d characters are no reading: write a number, a unit and how well it is known", len(text))
	}
	value, after, err := number(text)
	if err != nil {
		return Quantity{}, err
	}
	name, how, more := cut(after)
	q := Quantity{Kind: kind, How: how, DoF: math.Inf(1)}
	if how == Stated && name == "" { // one unit for both
		name = unitOf(more)
	}
	u, ok := kind.unit(name)
	if !ok {
		return Quantity{}, kind.wrong(name)
	}
	q.Value = value.times(u)
	switch how {
	case LastDigit:
		q.U = numeral{digits: "1", exponent: value.last()}.times(u) / math.Sqrt(12)
	case ReadTo:
		q.U, err = division(more, kind)
	case Stated:
		q.U, q.DoF, err = stated(more, kind, q.Value)
	}
	if err == nil {
		err = q.check()
	}
	return q, err
}

// check refuses what no reading can be.
func (q *Quantity) check() error {
	switch {
	case math.IsInf(q.Value, 0) || math.IsInf(q.U, 0):
		return errors.New("too large: write a number that can be")
	case q.U < 0:
		return errors.New("the uncertainty is negative: it must be positive")
	case q.U == 0:
		return errors.New("the uncertainty is zero: no reading is exact, leave the uncertainty out to have it from the last digit")
	}
	return nil
}

// numeral is a decimal number as written.
type numeral struct {
	digits   string // with sign and point, no exponent
	exponent int
}

var numerals = regexp.MustCompile(`^([+\-−]?)(\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE]([+\-−]?\d{1,3}))?`)

// number cuts a numeral from the front of text.
func number(text string) (n numeral, after string, err error) {
	text = strings.TrimSpace(text)
	m := numerals.FindStringSubmatch(text)
	if m == nil {
		if text == "" {
			return n, "", errors.New("nothing is written there")
		}
		return n, "", errors.New("must begin with a number, as in 71.2")
	}
	minus := strings.NewReplacer("−", "-")
	n.digits = minus.Replace(m[1]) + strings.Replace(m[2], ",", ".", 1)
	if m[3] != "" {
		n.exponent, _ = strconv.Atoi(minus.Replace(m[3])) // three digits at most: it is a number
	}
	after = strings.TrimSpace(text[len(m[0]):])
	if strings.HasPrefix(after, ".") || strings.HasPrefix(after, ",") {
		return n, "", errors.New("has more than one decimal sign: write thousands without a mark, as in 1234.5")
	}
	return n, after, nil
}

// last is the power of ten of the last digit.
func (n numeral) last() int {
	_, decimals, _ := strings.Cut(n.digits, ".")
	return n.exponent - len(decimals)
}

// times converts n to the SI unit; powers of ten are applied in decimal, so that
// 71.2 cm is the number nearest to 0.712.
func (n numeral) times(u unit) float64 {
	v, _ := strconv.ParseFloat(n.digits+"e"+strconv.Itoa(n.exponent+u.exponent), 64) // out of range gives an infinity: see check
	if u.factor != 0 {
		v *= u.factor
	}
	return v
}

var ways = regexp.MustCompile(`(?i)^(.*?)\s*(\+/-|\+-|±|\bread\s+to\b)(.*)$`)

// cut divides what follows a number into its unit, the way its uncertainty is given,
// and the rest.
func cut(after string) (name string, how How, more string) {
	m := ways.FindStringSubmatch(after)
	switch {
	case m == nil:
		return after, LastDigit, ""
	case strings.ContainsAny(m[2], "+±"):
		return m[1], Stated, m[3]
	}
	return m[1], ReadTo, m[3]
}

// division reads the division of a scale and returns the uncertainty of a reading.
func division(text string, kind Kind) (float64, error) {
	n, name, err := number(text)
	if err != nil {
		return 0, fmt.Errorf("after 'read to': %w", err)
	}
	u, ok := kind.unit(name)
	if !ok {
		return 0, fmt.Errorf("after 'read to': %w", kind.wrong(name))
	}
	return n.times(u) / math.Sqrt(12), nil
}

var extras = regexp.MustCompile(`(?i)\s+(k|dof)\s*=\s*(\S+)\s*$`)

// unitOf returns the unit that a stated uncertainty is written in; a share of the
// value has none.
func unitOf(text string) string {
	_, name, err := number(text)
	if err != nil {
		return ""
	}
	for m := extras.FindStringIndex(" " + name); m != nil; m = extras.FindStringIndex(" " + name) {
		name = strings.TrimSpace((" " + name)[:m[0]])
	}
	if name == "%" {
		return ""
	}
	return name
}

// stated reads a stated uncertainty of value, with its coverage factor and degrees of
// freedom if there are any.
func stated(text string, kind Kind, value float64) (u, dof float64, err error) {
	n, name, err := number(text)
	if err != nil {
		return 0, 0, fmt.Errorf("after '+-': %w", err)
	}
	coverage, dof := 1.0, math.Inf(1)
	for m := extras.FindStringSubmatch(" " + name); m != nil; m = extras.FindStringSubmatch(" " + name) {
		x, after, err := number(m[2])
		v := x.times(unit{})
		if err != nil || after != "" || !(v >= 1) || math.IsInf(v, 0) {
			return 0, 0, fmt.Errorf("%s = %s: must be a number, 1 or more", strings.ToLower(m[1]), m[2])
		}
		if strings.EqualFold(m[1], "k") {
			coverage = v
		} else {
			dof = v
		}
		name = strings.TrimSpace(strings.TrimSuffix(" "+name, m[0]))
	}
	if name == "%" && kind != Ratio {
		return n.times(unit{exponent: -2}) * math.Abs(value) / coverage, dof, nil
	}
	in, ok := kind.unit(name)
	if !ok {
		return 0, 0, fmt.Errorf("after '+-': %w", kind.wrong(name))
	}
	return n.times(in) / coverage, dof, nil
}

// shortened keeps messages readable.
func shortened(text string) string {
	const most = 40
	runes := []rune(text)
	if len(runes) <= most {
		return text
	}
	return string(runes[:most]) + "..."
}
