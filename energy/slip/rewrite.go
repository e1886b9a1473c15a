package slip

import (
	"reflect"
	"slices"

	"joulewell/energy/quantity"
	"joulewell/energy/worksheet"
)

// edit changes a formula of a result in some state, or returns false.
type edit func(s worksheet.State, e worksheet.Expr) (worksheet.Expr, bool)

// wanted picks values.
type wanted func(worksheet.ID) bool

func is(id worksheet.ID) wanted  { return func(i worksheet.ID) bool { return i == id } }
func of(k quantity.Kind) wanted  { return func(i worksheet.ID) bool { return i.Kind() == k } }
func half(e worksheet.Expr) bool { return e.Op == worksheet.Number && e.Num == 0.5 }

// in makes an edit a slip in the results of one name, in either state.
func in(name string, change edit) rewrite {
	return func(id worksheet.ID, e worksheet.Expr) (worksheet.Expr, bool) {
		s, n := id.Split()
		if n != name || s == worksheet.Neither {
			return e, false
		}
		return change(s, e)
	}
}

// either makes it one in the results of two names at once.
func either(one, other string, change edit) rewrite {
	return func(id worksheet.ID, e worksheet.Expr) (worksheet.Expr, bool) {
		if changed, ok := in(one, change)(id, e); ok {
			return changed, ok
		}
		return in(other, change)(id, e)
	}
}

// walk changes the parts of e that at changes, outermost first; what is within a changed
// part stays as it is.
func walk(e worksheet.Expr, at func(worksheet.Expr) (worksheet.Expr, bool)) (worksheet.Expr, bool) {
	if changed, ok := at(e); ok {
		return changed, true
	}
	some, parts := false, slices.Clone(e.Part)
	for i, p := range parts {
		if q, ok := walk(p, at); ok {
			parts[i], some = q, true
		}
	}
	if some {
		e.Part = parts
	}
	return e, some
}

// leaves changes the values that are wanted.
func leaves(e worksheet.Expr, pick wanted, with func(worksheet.ID) worksheet.Expr) (worksheet.Expr, bool) {
	return walk(e, func(v worksheet.Expr) (worksheet.Expr, bool) {
		if v.Op != worksheet.Value || !pick(v.ID) {
			return v, false
		}
		return with(v.ID), true
	})
}

// replace puts something in the place of a value.
func replace(id worksheet.ID, with worksheet.Expr) edit {
	return func(_ worksheet.State, e worksheet.Expr) (worksheet.Expr, bool) {
		return leaves(e, is(id), func(worksheet.ID) worksheet.Expr { return with })
	}
}

// times multiplies values.
func times(factor float64, pick wanted) edit {
	return func(_ worksheet.State, e worksheet.Expr) (worksheet.Expr, bool) {
		return leaves(e, pick, func(id worksheet.ID) worksheet.Expr {
			return worksheet.Mul(worksheet.Num(factor), worksheet.Val(id))
		})
	}
}

// stretch puts another length in the place of the extension.
func stretch(with func(worksheet.State) worksheet.Expr) edit {
	return func(s worksheet.State, e worksheet.Expr) (worksheet.Expr, bool) {
		return replace(s.Of("extension"), with(s))(s, e)
	}
}

func lengthItself(s worksheet.State) worksheet.Expr { return worksheet.Val(s.Of("length")) }

func fromHung(s worksheet.State) worksheet.Expr {
	return worksheet.Add(lengthItself(s), worksheet.Mul(worksheet.Num(-1), worksheet.Val(worksheet.HungLength)))
}

// toTop takes the height of the bob's top.
func toTop(s worksheet.State, e worksheet.Expr) (worksheet.Expr, bool) {
	height := s.Of("height")
	return replace(height, worksheet.Add(worksheet.Val(height), worksheet.Val(worksheet.BobLength)))(s, e)
}

// drop leaves the terms out that hold a value, wherever there is a sum; a sum of nothing
// else stays.
func drop(pick wanted) edit {
	return func(_ worksheet.State, e worksheet.Expr) (worksheet.Expr, bool) {
		return fewer(e, worksheet.Sum, func(terms []worksheet.Expr) []worksheet.Expr {
			return slices.DeleteFunc(terms, func(t worksheet.Expr) bool { return t.Has(pick) })
		})
	}
}

// part leaves a kind of energy out of a total.
func part(name string) edit {
	return func(s worksheet.State, e worksheet.Expr) (worksheet.Expr, bool) { return drop(is(s.Of(name)))(s, e) }
}

// fewer takes parts out of sums or products.
func fewer(e worksheet.Expr, op worksheet.Op, cut func([]worksheet.Expr) []worksheet.Expr) (worksheet.Expr, bool) {
	return walk(e, func(p worksheet.Expr) (worksheet.Expr, bool) {
		if p.Op != op {
			return p, false
		}
		rest := cut(slices.Clone(p.Part))
		if len(rest) == len(p.Part) || len(rest) == 0 {
			return p, false
		}
		return worksheet.Expr{Op: op, Part: rest}, true
	})
}

// unfactor leaves a factor out.
func unfactor(which func(worksheet.Expr) bool) edit {
	return func(_ worksheet.State, e worksheet.Expr) (worksheet.Expr, bool) {
		return fewer(e, worksheet.Product, func(factors []worksheet.Expr) []worksheet.Expr { return slices.DeleteFunc(factors, which) })
	}
}

// single takes what enters a product twice only once.
func single(_ worksheet.State, e worksheet.Expr) (worksheet.Expr, bool) {
	return fewer(e, worksheet.Product, func(factors []worksheet.Expr) []worksheet.Expr {
		for i := 1; i < len(factors); i++ {
			if factors[i].Op != worksheet.Number && reflect.DeepEqual(factors[i], factors[i-1]) {
				return slices.Delete(factors, i, i+1)
			}
		}
		return factors
	})
}

// whole takes all of a value of which the formula takes a fraction.
func whole(id worksheet.ID) edit {
	return func(_ worksheet.State, e worksheet.Expr) (worksheet.Expr, bool) {
		return walk(e, func(p worksheet.Expr) (worksheet.Expr, bool) {
			if p.Op == worksheet.Quotient && p.Part[0].Has(is(id)) {
				return p.Part[0], true
			}
			return p, false
		})
	}
}

// otherState takes what belongs to the other state.
func otherState(s worksheet.State, e worksheet.Expr) (worksheet.Expr, bool) {
	ofThis := func(id worksheet.ID) bool { t, _ := id.Split(); return t == s }
	return leaves(e, ofThis, func(id worksheet.ID) worksheet.Expr {
		_, name := id.Split()
		return worksheet.Val(s.Other().Of(name))
	})
}

// negative gives the other sign.
func negative(_ worksheet.State, e worksheet.Expr) (worksheet.Expr, bool) {
	return worksheet.Mul(worksheet.Num(-1), e), true
}

// turned takes a difference of energies the other way round.
func turned(id worksheet.ID, e worksheet.Expr) (worksheet.Expr, bool) {
	switch id {
	case worksheet.ElasticChange, worksheet.GravitationalChange, worksheet.KineticChange, worksheet.Lost:
		return negative(worksheet.Neither, e)
	}
	return e, false
}

// base takes the percentage of something else.
func base(of worksheet.Expr) rewrite {
	return func(id worksheet.ID, e worksheet.Expr) (worksheet.Expr, bool) {
		if id != worksheet.PercentLost {
			return e, false
		}
		return worksheet.Div(e.Part[0], of), true
	}
}
