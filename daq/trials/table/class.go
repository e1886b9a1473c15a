package table

import (
	"fmt"
	"math"
	"slices"

	"joulewell/calib/fit"
	"joulewell/daq/trials"
	"joulewell/energy/quantity"
)

// Class is what all groups of a class have found, beside each other.
type Class struct {
	Quantities []Agreement `json:"quantities"`
	Notes      []string    `json:"notes"` // what must be known when reading it
}

// Agreement is one quantity as all groups found it, and whether they may be said to have
// found the same. Numbers without a unit of their own carry Unit.
type Agreement struct {
	Key        string   `json:"key"`
	Label      string   `json:"label"`
	Unit       string   `json:"unit"`
	Chosen     bool     `json:"chosen"` // by whoever lets the bob go: groups need not agree in it
	Groups     []Found  `json:"groups"`
	Scatter    float64  `json:"scatter"`       // [Unit] of one trial, pooled over the groups; what the trials state where none has two
	DoF        *float64 `json:"dof,omitempty"` // [1] degrees of freedom of Scatter; nil = it was stated
	Alike      float64  `json:"p_alike"`       // [1] probability of scatters as unlike where all are one (Bartlett)
	Mean       *float64 `json:"mean"`          // [Unit] weighted mean; nil with one group, and so is all that follows
	U          float64  `json:"U"`             // [Unit] its expanded uncertainty, 95 %; widened where the groups contradict each other
	K          float64  `json:"k"`             // [1] coverage factor of U
	Own        float64  `json:"u_own"`         // [Unit] standard uncertainty of the mean by what is each group's own
	Shared     float64  `json:"u_shared"`      // [Unit] the same by what all share, on which the test of consistency is blind
	Birge      float64  `json:"birge"`         // [1] ratio of Birge
	ChiSquared float64  `json:"chi_squared"`   // [1]
	Spare      int      `json:"spare"`         // [1] groups less one
	P          float64  `json:"p"`             // [1] probability of as large a ChiSquared where all found the same
	Sentence   string   `json:"sentence"`      // what may be said
}

// Found is what one group found.
type Found struct {
	Label   string  `json:"label"`
	Bench   string  `json:"bench"`
	N       int     `json:"n"`        // [1] trials
	Mean    float64 `json:"mean"`     // [Unit]
	UOwn    float64 `json:"u_own"`    // [Unit] standard uncertainty by the scatter
	UShared float64 `json:"u_shared"` // [Unit] by what its trials share
	U       float64 `json:"U"`        // [Unit] expanded uncertainty, 95 %
	Weight  float64 `json:"weight"`   // [1] in the mean
}

// ClassOf puts all groups of trials in order of time beside each other.
func ClassOf(all []Trial) Class {
	c := Class{Quantities: []Agreement{}, Notes: []string{}}
	sets := part(all)
	for i, q := range quantities {
		if a, ok := c.agreement(q, i, sets); ok {
			c.Quantities = append(c.Quantities, a)
		}
	}
	c.general(sets)
	return c
}

func (c *Class) note(format string, values ...any) {
	c.Notes = append(c.Notes, fmt.Sprintf(format, values...))
}

// agreement works out one quantity; not ok where no group has it.
func (c *Class) agreement(q measured, i int, sets []*set) (Agreement, bool) {
	a := Agreement{Key: q.key, Label: q.label, Unit: q.kind.Unit(), Chosen: q.chosen, Groups: []Found{}}
	var with []*set
	for _, s := range sets {
		if len(s.samples[i].values) > 0 {
			with = append(with, s)
		}
	}
	if len(with) == 0 {
		return a, false
	}
	dof := a.pool(with, i)
	results := make([]fit.Result, len(with))
	for k, s := range with {
		m := &s.samples[i]
		f := Found{Label: s.label, Bench: s.bench, N: len(m.values), Mean: mean(m.values), UShared: together(m.shared), Weight: 1}
		f.UOwn = a.Scatter / math.Sqrt(float64(f.N))
		f.U = expanded(f.UOwn, f.UShared, dof)
		a.Groups = append(a.Groups, f)
		results[k] = fit.Result{Value: f.Mean, U: f.UOwn}
	}
	if len(with) > 1 {
		c.weigh(q, &a, results, dof, sources(with, i))
	}
	return a, true
}

// pool takes the scatter of one trial from all groups together, or from what the trials
// state where no group has two.
func (a *Agreement) pool(with []*set, i int) (dof float64) {
	var repeats []fit.Repeats
	stated, n := 0.0, 0.0
	for _, s := range with {
		m := &s.samples[i]
		if r, err := fit.Repeat(m.values); err == nil {
			repeats = append(repeats, r)
		}
		stated += m.stated() * m.stated() * float64(len(m.values))
		n += float64(len(m.values))
	}
	sd, dof, alike, err := fit.Pool(repeats)
	if err != nil {
		a.Scatter, a.Alike = math.Sqrt(stated/n), 1
		return math.Inf(1)
	}
	a.Scatter, a.DoF, a.Alike = sd, &dof, alike
	return dof
}

// weigh finds the weighted mean and whether the groups agree.
func (c *Class) weigh(q measured, a *Agreement, results []fit.Result, dof float64, shared []fit.Source) {
	found, err := fit.Agree(results, dof, shared...)
	if err != nil {
		c.note("%s: no weighted mean: %v", q.label, err)
		return
	}
	a.Mean, a.Own, a.Shared = &found.Mean, found.Own, found.Shared
	a.Birge, a.ChiSquared, a.Spare, a.P = found.Birge, found.ChiSquared, found.Spare, found.P
	a.U, a.K, _ = found.Expanded(Probability) // of finite uncertainties
	for k := range a.Groups {
		a.Groups[k].Weight = found.Weights[k]
	}
	a.Sentence = a.says(q)
}

// says is what may be said of the groups together.
func (a *Agreement) says(q measured) string {
	value := q.kind.Both(*a.Mean, a.U)
	ratio := fmt.Sprintf("Birge ratio %.2f, p = %s", a.Birge, probability(a.P))
	switch {
	case q.chosen:
		return fmt.Sprintf("%s: %s on the mean of %d groups, each of which chose its own: they need not agree (%s)", q.label, value, len(a.Groups), ratio)
	case a.P < 1-Probability:
		return fmt.Sprintf("%s: the %d groups contradict each other (%s): find out why before a common value is given; %s is their weighted mean with its uncertainty widened",
			q.label, len(a.Groups), ratio, value)
	}
	return fmt.Sprintf("%s: %s (95 %%); the %d groups agree within their uncertainties (%s)", q.label, value, len(a.Groups), ratio)
}

// sources are what the trials of any group share, and which groups share it.
func sources(with []*set, i int) (all []fit.Source) {
	var names []string
	for _, s := range with {
		for name := range s.samples[i].shared {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	for _, name := range slices.Compact(names) {
		effects := make([]float64, len(with))
		for k, s := range with {
			effects[k] = s.samples[i].shared[name]
		}
		if slices.ContainsFunc(effects, func(e float64) bool { return e != 0 }) {
			all = append(all, fit.Source{Name: name, Effects: effects})
		}
	}
	return all
}

// general adds the notes that hold for the whole.
func (c *Class) general(sets []*set) {
	c.note("the scatter of one trial is pooled over the groups, for that of a few trials says too little to weigh by; what groups on one bench share, or all by gravity, is known to the mean by name")
	for _, of := range []struct {
		what string
		name func(*set) string
	}{{"springs", func(s *set) string { return s.spring }}, {"bobs", func(s *set) string { return s.bob }}} {
		var names []string
		for _, s := range sets {
			if n := of.name(s); n != "" && !slices.Contains(names, n) {
				names = append(names, n)
			}
		}
		if len(names) > 1 {
			c.note("the groups used %d %s (%s): they need not find the same", len(names), of.what, listed(names))
		}
	}
	for i := range c.Quantities {
		if q := &c.Quantities[i]; q.Key == trials.KeyAmplitude && q.Mean != nil && q.P < 1-Probability {
			c.note("the groups let the bob go from different heights: their losses need not agree")
		}
		if q := &c.Quantities[i]; q.Alike < tooWide {
			c.note("%s: the groups' trials scatter unlike (Bartlett's test, p = %s): look at the widest", q.Label, probability(q.Alike))
		}
	}
	simulated, left := 0, 0
	for _, s := range sets {
		simulated += s.virtual
		left += s.leftOut
	}
	if left > 0 {
		c.note("left out, as not counting: %s", quantity.Count(left, "trial"))
	}
	if simulated > 0 {
		c.note("%d of the trials are simulated", simulated)
	}
}

func listed(names []string) string {
	text := names[0]
	for _, n := range names[1:] {
		text += "; " + n
	}
	return text
}

func mean(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}

// expanded is the 95 % uncertainty by a scatter of so many degrees of freedom and what is
// shared.
func expanded(own, shared, dof float64) float64 {
	u := math.Hypot(own, shared)
	if own > 0 {
		dof *= math.Pow(u/own, 4)
	} else {
		dof = math.Inf(1)
	}
	k, _ := fit.Coverage(Probability, dof) // positive
	return k * u
}
