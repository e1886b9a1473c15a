package worksheet

import (
	"iter"
	"strconv"
	"strings"
)

// Op is what an [Expr] does.
type Op int

// Operations.
const (
	Number   Op = iota // a number that belongs to the formula
	Value              // a reading or an earlier result
	Sum                // of the parts
	Product            // of the parts
	Quotient           // of the two parts
)

// Expr is a formula, or a part of one. It is a value: whoever wants a changed one builds
// a new one.
type Expr struct {
	Op   Op
	Num  float64 // [1] of a number
	ID   ID      // of a value
	Part []Expr  // of a sum, product or quotient
}

// Num, Val, Add, Mul and Div build formulas.
func Num(v float64) Expr    { return Expr{Op: Number, Num: v} }
func Val(id ID) Expr        { return Expr{Op: Value, ID: id} }
func Add(part ...Expr) Expr { return Expr{Op: Sum, Part: part} }
func Mul(part ...Expr) Expr { return Expr{Op: Product, Part: part} }
func Div(a, b Expr) Expr    { return Expr{Op: Quotient, Part: []Expr{a, b}} }

// less is e with the other sign.
func less(e Expr) Expr { return Mul(Num(-1), e) }

// Values goes through the readings and results that e is worked out from, one as often
// as it is written.
func (e Expr) Values() iter.Seq[ID] {
	return func(yield func(ID) bool) { e.each(yield) }
}

func (e Expr) each(yield func(ID) bool) bool {
	if e.Op == Value {
		return yield(e.ID)
	}
	for _, p := range e.Part {
		if !p.each(yield) {
			return false
		}
	}
	return true
}

// Has reports whether e is worked out from a value that is wanted.
func (e Expr) Has(wanted func(ID) bool) bool {
	return !e.each(func(id ID) bool { return !wanted(id) })
}

// String writes e with the symbols of the sheet.
func (e Expr) String() string {
	switch e.Op {
	case Number:
		return strconv.FormatFloat(e.Num, 'g', 4, 64)
	case Value:
		return e.ID.find().symbol
	case Quotient:
		return e.Part[0].inner() + " / " + e.Part[1].inner()
	}
	var b strings.Builder
	for i, p := range e.Part {
		text := p.String()
		switch {
		case e.Op == Product:
			text = p.inner()
			switch {
			case i == 0 && e.negative():
				text = "-"
			case i > 0 && !(i == 1 && e.negative()):
				b.WriteByte(' ')
			}
		case p.negative():
			b.WriteString([]string{"-", " - "}[min(i, 1)])
			text = Mul(p.Part[1:]...).String()
			if len(p.Part) == 2 {
				text = p.Part[1].String()
			}
		case i > 0:
			b.WriteString(" + ")
		}
		b.WriteString(text)
	}
	return b.String()
}

// negative reports whether e is written with a minus.
func (e Expr) negative() bool {
	return e.Op == Product && e.Part[0].Op == Number && e.Part[0].Num == -1
}

// inner writes e as a part of a product.
func (e Expr) inner() string {
	if e.Op == Number || e.Op == Value {
		return e.String()
	}
	return "(" + e.String() + ")"
}
