package worksheet

import "slices"

// Working is a sheet with its formulas: which step follows from which.
type Working struct {
	digits  digits
	printed map[ID]Figure
	steps   map[ID]Expr
}

// Step returns the formula of a result, if it can be worked out on the sheet.
func (w *Working) Step(id ID) (Expr, bool) {
	e, ok := w.steps[id]
	return e, ok
}

// Printed reports whether a reading is printed on the sheet.
func (w *Working) Printed(id ID) bool {
	_, ok := w.printed[id]
	return ok
}

// Written is what a figure v [SI] for id, which somebody wrote with its last digit at
// 10^place, may have been when they went on with it.
func (w *Working) Written(id ID, v float64, place int) Figure {
	return w.digits.written(v, place, w.Work(id, nil, nil))
}

// Keep returns the power of ten of the last digit of f that must be kept.
func (w *Working) Keep(f Figure) int { return w.digits.keep(f) }

// Change is a way of working out a result with another formula than the sheet's.
type Change func(ID, Expr) Expr

// Work works out a result. Figures already written, by ID, are taken as they are; the
// result asked for is worked out even if it is among them. A nil change keeps to the
// formulas. What comes out holds every figure that honest rounding can lead to; it is
// not rounded itself.
func (w *Working) Work(id ID, written map[ID]Figure, change Change) Figure {
	r := worker{w, written, change, map[ID]Figure{}}
	return r.result(id)
}

// Behind lists the results that id is worked out from without a figure having been
// written for them, id itself first.
func (w *Working) Behind(id ID, written map[ID]Figure) []ID {
	ids := []ID{id}
	for i := 0; i < len(ids); i++ {
		for on := range w.steps[ids[i]].Values() {
			_, step := w.steps[on]
			_, done := written[on]
			if step && !done && !slices.Contains(ids, on) {
				ids = append(ids, on)
			}
		}
	}
	return ids
}

// From lists the written results that id is worked out from directly, or by way of
// others that are not written.
func (w *Working) From(id ID, written map[ID]Figure) []ID {
	var ids []ID
	for _, b := range w.Behind(id, written) {
		for on := range w.steps[b].Values() {
			if _, done := written[on]; done && !slices.Contains(ids, on) {
				ids = append(ids, on)
			}
		}
	}
	return ids
}

// worker works out one result.
type worker struct {
	*Working
	written map[ID]Figure
	change  Change
	done    map[ID]Figure
}

func (r *worker) result(id ID) Figure {
	e := r.steps[id]
	if r.change != nil {
		e = r.change(id, e)
	}
	return r.raw(e)
}

// value returns what is printed, written or worked out for id, as it may be carried on.
func (r *worker) value(id ID) Figure {
	if f, ok := r.written[id]; ok {
		return f
	}
	if f, ok := r.done[id]; ok {
		return f
	}
	f, ok := r.printed[id]
	if !ok {
		f = r.result(id)
	}
	f = r.digits.carried(f)
	r.done[id] = f
	return f
}

// raw works out e, rounding its parts, not e itself.
func (r *worker) raw(e Expr) Figure {
	switch e.Op {
	case Number:
		return number(e.Num)
	case Value:
		return r.value(e.ID)
	case Quotient:
		return over(r.digits.carried(r.raw(e.Part[0])), r.digits.carried(r.raw(e.Part[1])))
	}
	parts := make([]Figure, len(e.Part))
	for i, p := range e.Part {
		if parts[i] = r.raw(p); p.Op != Value {
			parts[i] = r.digits.carried(parts[i])
		}
	}
	if e.Op == Sum {
		return r.digits.anyOrder(parts, plus)
	}
	return r.digits.anyOrder(parts, times)
}

// anyOrder combines figures two by two in every order, rounding on the way. Entry s of
// the table is what the parts in the set s of bits come to.
func (d digits) anyOrder(parts []Figure, combine func(a, b Figure) Figure) Figure {
	all := 1<<len(parts) - 1
	table := make([]Figure, all+1)
	for s := 1; s <= all; s++ {
		first := s & -s
		if s == first {
			for i := range parts {
				if s == 1<<i {
					table[s] = parts[i]
				}
			}
			continue
		}
		begun := false
		for t := (s - 1) & s; t > 0; t = (t - 1) & s {
			if t&first == 0 { // the same two sets the other way round
				continue
			}
			f := combine(table[t], table[s^t])
			if begun {
				f = hull(table[s], f)
			}
			table[s], begun = f, true
		}
		if s != all {
			table[s] = d.carried(table[s])
		}
	}
	return table[all]
}
