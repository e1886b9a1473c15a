package slip

import (
	"math"
	"slices"

	"joulewell/energy/worksheet"
)

// try is one way of slipping, in the results of one state or of both.
type try struct {
	kind  Kind
	way   rewrite
	scope worksheet.State // Neither stands for both
}

// apply changes the formula of id, where the slip has a place there.
func (t try) apply(h *holder, id worksheet.ID, e worksheet.Expr) (worksheet.Expr, bool) {
	if s, _ := id.Split(); t.scope != worksheet.Neither && s != worksheet.Neither && s != t.scope {
		return e, false
	}
	changed, ok := t.way(id, e)
	if !ok || changed.Has(h.missing) {
		return e, false
	}
	return changed, true
}

// missing reports whether a value is not to be had on the sheet.
func (h *holder) missing(id worksheet.ID) bool {
	_, step := h.Step(id)
	return !step && !h.Printed(id)
}

// story is a set of slips and what they lead to.
type story struct {
	set    set
	figure worksheet.Figure
}

// stories works id out by each known slip and by each pair, from the student's earlier
// figures.
func (h *holder) stories(id worksheet.ID) []story {
	singles := h.singles(id)
	var all []story
	add := func(tries ...try) {
		all = append(all, story{setOf(tries), h.Work(id, h.written, func(on worksheet.ID, e worksheet.Expr) worksheet.Expr {
			for _, t := range tries {
				e, _ = t.apply(h, on, e)
			}
			return e
		})})
	}
	for i, t := range singles {
		add(t)
		for _, u := range singles[:i] {
			if together(t, u) {
				add(u, t)
			}
		}
	}
	return all
}

// coarsest is half a unit of the last digit of a figure that may still tell what slip led
// to it, in units of the digit that must be kept: one digit short, no more.
const coarsest = 5

// likely is the share of other figures that slips would explain, above which explaining
// one proves nothing. Own choice: it costs one in a hundred slips planted, and keeps a
// sheet that asks for the loss alone from accusing at random.
const likely = 0.2

// explanations lists the sets of one or two kinds of slip that lead to the answer. Where
// so many stories lead to so many figures that any would be explained, there are none.
func (h *holder) explanations(id worksheet.ID) []set {
	a := h.answers[id]
	var sets []set
	stories := h.stories(id)
	for size := 1; size <= 2; size++ {
		tried := slices.DeleteFunc(slices.Clone(stories), func(s story) bool { return s.set.size() > size })
		told := func(v float64, each func(set)) {
			for _, s := range tried {
				if s.figure.Meets(v, min(a.half(), coarsest*math.Pow10(h.Keep(s.figure)))) {
					each(s.set)
				}
			}
		}
		if h.chance(id, told) > likely {
			break
		}
		sets = nil
		told(a.value, func(s set) {
			if !slices.Contains(sets, s) {
				sets = append(sets, s)
			}
		})
	}
	return sets
}

// chance returns the share of the figures around an answer that stories would tell, as far
// around as the answer or the right figure is large, and not so near that rounding counts.
func (h *holder) chance(id worksheet.ID, told func(v float64, each func(set))) float64 {
	const steps, near = 32, 2 // to either side, and as many left out
	v := h.answers[id].value
	right := h.Work(id, h.written, nil)
	reach := max(math.Abs(v), math.Abs(right.Low), math.Abs(right.High), steps/2*(right.High-right.Low))
	count, of := 0, 0
	for i := near; i <= steps; i++ {
		for _, sign := range []float64{-1, 1} {
			hit := false
			told(v+sign*reach*float64(i)/steps, func(set) { hit = true })
			if of++; hit {
				count++
			}
		}
	}
	return float64(count) / float64(of)
}

// together reports whether two tries make a pair: of different kinds that do not
// contradict each other, made in the same states.
func together(t, u try) bool {
	if t.kind == u.kind || slices.Contains(excluded, [2]Kind{t.kind, u.kind}) || slices.Contains(excluded, [2]Kind{u.kind, t.kind}) {
		return false
	}
	return habit(t) && habit(u)
}

// habit reports whether somebody would make the slip throughout. Two slips in one state
// each are too much of a story for one figure.
func habit(t try) bool { return t.scope == worksheet.Neither || t.kind == OtherState }

// singles lists what has a place in working out id from the student's earlier figures.
func (h *holder) singles(id worksheet.ID) []try {
	behind := h.Behind(id, h.written)
	states := statesOf(behind)
	scopes := []worksheet.State{worksheet.Neither}
	if len(states) > 1 {
		scopes = append(scopes, states...)
	}
	var all []try
	for _, k := range slips {
		scopes := scopes
		if k.kind == OtherState { // in both states it would turn a difference round, and no more
			scopes = states
		}
		for _, way := range k.ways {
			for _, scope := range scopes {
				t := try{k.kind, way, scope}
				if slices.ContainsFunc(behind, func(b worksheet.ID) bool {
					e, _ := h.Step(b)
					_, ok := t.apply(h, b, e)
					return ok
				}) {
					all = append(all, t)
				}
			}
		}
	}
	return all
}

// statesOf lists the states that there are results of.
func statesOf(ids []worksheet.ID) []worksheet.State {
	var states []worksheet.State
	for _, s := range []worksheet.State{worksheet.Start, worksheet.End} {
		if slices.ContainsFunc(ids, func(id worksheet.ID) bool { t, _ := id.Split(); return t == s }) {
			states = append(states, s)
		}
	}
	return states
}
