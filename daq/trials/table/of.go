package table

import (
	"fmt"

	"joulewell/daq/trials"
	"joulewell/energy/quantity"
)

// Probability is that with which intervals hold the truth.
const Probability = 0.95

const (
	suspect  = 0.05 // probability that Grubbs' test suspects a good trial of a group and quantity
	drifting = 0.01 // probability of a trend by chance below which a note speaks of one
	tooWide  = 0.01 // likewise of a scatter that the readings do not explain
	mostIn   = 8    // groups that are compared each with each
	leastOdd = 5    // trials among which one can stand apart: of three, any two near each other make the third look so
)

// measured is a quantity that is looked at over trials.
type measured struct {
	key, label string
	kind       quantity.Kind
	chosen     bool // by whoever lets the bob go: groups need not agree in it
}

var quantities = [...]measured{
	{trials.KeyFirstLoss, "loss of the first fall", quantity.Energy, false},
	{trials.KeyCycleLoss, "loss per cycle", quantity.Energy, false},
	{trials.KeyAmplitude, "amplitude", quantity.Length, true},
	{trials.KeyPeriod, "period", quantity.Time, false},
	{trials.KeySwung, "energy of the swing", quantity.Energy, true},
	{trials.KeyStart, "total at the start", quantity.Energy, true},
	{trials.KeyRate, "rate shown by the period", quantity.Rate, false},
}

// KindOf returns the kind of a column's quantity.
func KindOf(key string) quantity.Kind {
	for _, q := range quantities {
		if q.key == key {
			return q.kind
		}
	}
	return quantity.Ratio
}

// Of works out the table of trials in order of time.
func Of(all []Trial) Table {
	t := Table{Groups: []Group{}, Comparisons: []Comparison{}, Notes: []string{}}
	var sets []*set
	for _, s := range part(all) {
		sets = append(sets, s)
		t.Groups = append(t.Groups, s.group(&t))
	}
	if len(sets) > mostIn {
		t.note("%d groups are too many to compare each with each: gather shows them beside each other", len(sets))
	} else {
		t.compare(sets)
	}
	t.general(sets)
	return t
}

func (t *Table) note(format string, values ...any) {
	t.Notes = append(t.Notes, fmt.Sprintf(format, values...))
}

// general adds the notes that hold for the whole.
func (t *Table) general(sets []*set) {
	bounded, simulated, scattered := false, 0, false
	for _, s := range sets {
		for i := range s.samples {
			bounded = bounded || s.samples[i].bounded
			scattered = scattered || len(s.samples[i].values) > 1
		}
		simulated += s.virtual
	}
	if scattered {
		t.note("± of a mean holds 95 %%: the scatter of the trials, which more of them lessen, and what they share (calibration, masses, rate), which stays; the uncertainties by scatter and of what is shared stand apart")
	}
	if bounded {
		t.note("some trials were judged by a version that does not say what they share: all of their uncertainty is taken as shared, which is too much; judge them again to know better")
	}
	if simulated > 0 {
		t.note("%d of the trials are simulated", simulated)
	}
}
