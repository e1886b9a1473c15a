package tidy

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"joulewell/daq/trials"
	"joulewell/daq/trials/kept"
	"joulewell/energy"
)

// place is a trial among those kept of its run.
type place struct {
	of    *kept.Kept
	index int // [1] among the trials of the run, from 0
	row   *trials.Row
}

// column is one column that is not a quantity.
type column struct {
	name string
	get  func(p place) string
	set  func(p place, text string) error // nil: what it says follows from others
}

// columns before the quantities, and after them.
var (
	before = []column{
		text("run", func(p place) *string { return &p.row.Run }),
		text("bench", func(p place) *string { return &p.row.Bench }),
		text("spring", func(p place) *string { return &p.row.Spring }),
		text("bob", func(p place) *string { return &p.row.Bob }),
		truth("counts", func(p place) *bool { return &p.row.Counts }),
		{"release_s", func(p place) string { return number(p.row.Release) }, func(p place, text string) (err error) {
			p.row.Release, err = parse(text)
			return err
		}},
		{"over", func(p place) string { return string(p.row.Over) }, func(p place, text string) error {
			p.row.Over = trials.Reason(text)
			return nil
		}},
		{"cycles", func(p place) string { return strconv.Itoa(p.row.Cycles) }, func(p place, text string) error {
			n, err := parse(text)
			p.row.Cycles = int(n)
			return err
		}},
	}
	after = []column{
		text("decay_law", func(p place) *string { return &p.row.Decay }),
		{"findings", findings, nil},
		text("group", func(p place) *string { return &p.of.Group }),
		{"index", func(p place) string { return strconv.Itoa(p.index) }, nil},
		{"created", func(p place) string { return stamp(p.of) }, setStamp},
		truth("virtual", func(p place) *bool { return &p.of.Virtual }),
		truth("overruled", func(p place) *bool { return &p.row.Overruled }),
	}
)

// quantities in the order of their columns, each with its standard uncertainty and the
// part of that which trials of the bench share.
var quantities = []string{trials.KeyAmplitude, trials.KeyPeriod, trials.KeyFirstLoss, trials.KeyCycleLoss, trials.KeySwung, trials.KeyStart, trials.KeyRate}

func text(name string, of func(place) *string) column {
	return column{name, func(p place) string { return guard(*of(p)) }, func(p place, text string) error {
		*of(p) = unguard(text)
		return nil
	}}
}

func truth(name string, of func(place) *bool) column {
	return column{name, func(p place) string { return strings.ToUpper(strconv.FormatBool(*of(p))) }, func(p place, text string) error {
		switch strings.ToLower(text) {
		case "true", "yes":
			*of(p) = true
		case "false", "no":
			*of(p) = false
		default:
			return fmt.Errorf("%q is neither true nor false", text)
		}
		return nil
	}}
}

func findings(p place) string {
	var all []string
	for _, f := range p.row.Findings {
		all = append(all, string(f.Fault))
	}
	return strings.Join(all, " ")
}

// shared is what trials share of a quantity's standard uncertainty; empty where the row
// does not say.
func shared(row *trials.Row, key string) string {
	effects, told := row.Shared[key]
	if !told {
		return ""
	}
	sum := 0.0
	for _, e := range effects {
		sum = math.Hypot(sum, e.By)
	}
	return number(sum)
}

func number(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return ""
	}
	return strconv.FormatFloat(v, 'g', 7, 64)
}

// estimate writes a quantity in two fields.
func estimate(e *energy.Estimate) (value, u string) {
	if e == nil {
		return "", ""
	}
	return number(e.Value), number(e.U)
}
