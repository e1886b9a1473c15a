package table

import (
	"cmp"
	"slices"
)

// set is the trials of one group.
type set struct {
	label, bench, spring, bob string

	counted []Trial
	places  []int // of these among all trials
	leftOut int
	virtual int
	samples [len(quantities)]sample
}

// part sorts trials into groups: what was made with another spring, bob or bench is
// another group, whatever its label. Groups come in order of their first trial.
func part(all []Trial) (sets []*set) {
	for i, t := range all {
		label := cmp.Or(t.Group, t.Row.Bench, "no name")
		at := slices.IndexFunc(sets, func(s *set) bool {
			return s.label == label && s.bench == t.Row.Bench && s.spring == t.Row.Spring && s.bob == t.Row.Bob
		})
		if at < 0 {
			at = len(sets)
			sets = append(sets, &set{label: label, bench: t.Row.Bench, spring: t.Row.Spring, bob: t.Row.Bob})
		}
		sets[at].add(t, i)
	}
	name(sets)
	for _, s := range sets {
		for i, q := range quantities {
			s.samples[i] = take(q.key, s.counted)
		}
	}
	return sets
}

func (s *set) add(t Trial, place int) {
	if t.Virtual {
		s.virtual++
	}
	if t.Row.Counts {
		s.counted = append(s.counted, t)
		s.places = append(s.places, place)
	} else {
		s.leftOut++
	}
}

// name tells groups of one label apart by what they were made with.
func name(sets []*set) {
	labels := make([]string, len(sets))
	for i, s := range sets {
		labels[i] = s.label
		for _, of := range []func(*set) string{
			func(s *set) string { return s.bench }, func(s *set) string { return s.spring }, func(s *set) string { return s.bob },
		} {
			if of(s) != "" && of(s) != s.label && slices.ContainsFunc(sets, func(o *set) bool { return o.label == s.label && of(o) != of(s) }) {
				labels[i] += ", " + of(s)
			}
		}
	}
	for i, s := range sets {
		s.label = labels[i]
	}
}
