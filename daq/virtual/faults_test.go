package virtual

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"joulewell/daq/wire"
)

// trial is a device played twice, once with a fault.
type trial struct {
	*testing.T
	cfg   Config
	sound *heard
	ill   *heard
}

func TestFaults(t *testing.T) {
	sound := hear(t, brisk(), 30)
	tried := map[string]bool{}
	for _, c := range trials {
		name, _, _ := strings.Cut(strings.Split(c.fault, "@")[0], "=")
		tried[name] = true
		t.Run(name, func(t *testing.T) {
			cfg := with(t, brisk(), c.fault)
			c.check(trial{t, cfg, sound, hear(t, cfg, 30)})
		})
	}
	for _, f := range Faults() {
		if !tried[f.Name] {
			t.Errorf("fault %s has no trial", f.Name)
		}
		if f.Does == "" || f.Unit == "" || f.Strength <= 0 {
			t.Errorf("fault %+v is incomplete", f)
		}
	}
	if len(Faults()) < 29 {
		t.Errorf("only %d faults", len(Faults()))
	}
}

func (t trial) rig() *Rig { return rigOf(t, t.cfg) }

// velocityAt returns extension and velocity, both downward, at a time [s].
func (t trial) velocityAt(s float64) (x, v float64) {
	truth := t.rig().At(int64(s * 1e9))
	return truth.Extension, -truth.Velocity
}

// share returns the share of ranger lines between two times [s] that are odd.
func (t trial) share(from, to float64, odd func(*Sample, *Config) bool) float64 {
	n, all := 0, 0
	for i := range t.ill.samples {
		s := &t.ill.samples[i]
		if at := float64(s.At) * 1e-9; at < from || at >= to ||
			s.Reading.Has(wire.LoadCounts) || s.Reading.Has(wire.AirCentiC) {
			continue
		}
		all++
		if odd(s, &t.cfg) {
			n++
		}
	}
	return float64(n) / float64(all)
}

func lost(s *Sample, _ *Config) bool { return !s.Reading.Has(wire.EchoUs) }

// wild reports an echo that is off by more than a tenth.
func wild(s *Sample, c *Config) bool {
	stated := s.Reading.Values[wire.EchoUs] * 1e-6 / 2 * c.Air.speedOfSound(s.At)
	return s.Reading.Has(wire.EchoUs) && math.Abs(stated/s.Distance-1) > 0.1
}

// noise returns the standard deviations of echoes [m] and conversions [N] during one
// second, echoes that are lost or wild left out.
func (t trial) noise(second int) (echo, load float64) {
	var echoes, loads []float64
	for i := range t.ill.samples {
		s := &t.ill.samples[i]
		switch r := &s.Reading; {
		case int(s.At/1e9) != second:
		case r.Has(wire.EchoUs) && !wild(s, &t.cfg):
			echoes = append(echoes, r.Values[wire.EchoUs]*1e-6/2*t.cfg.Air.speedOfSound(s.At)-s.Distance)
		case r.Has(wire.LoadCounts):
			loads = append(loads, (r.Values[wire.LoadCounts]-t.cfg.Load.Zero)*t.cfg.Load.Span-s.Force)
		}
	}
	_, echo = statistics(echoes)
	_, load = statistics(loads)
	return echo, load
}

// stuck returns the length [s] of the longest run of equal values in a column between
// two times [s].
func (t trial) stuck(c wire.Column, from, to float64) float64 {
	longest, since := 0.0, math.NaN()
	var last float64
	for i := range t.ill.samples {
		s := &t.ill.samples[i]
		at := float64(s.At) * 1e-9
		if at < from || at > to || !s.Reading.Has(c) {
			continue
		}
		if v := s.Reading.Values[c]; v != last {
			last, since = v, at
		}
		longest = max(longest, at-since)
	}
	return longest
}

// refuses checks that a share of the lines is refused for a reason, and no others but
// for the reasons allowed besides.
func (t trial) refuses(why wire.Reason, share float64, besides ...wire.Reason) {
	t.Helper()
	c := t.ill.counts
	n := c.Refused[why]
	for _, w := range besides {
		n += c.Refused[w]
	}
	near(t, "share of refused lines", float64(n)/float64(len(t.ill.samples)), share, 0.025)
	if c.Refused[why] < n/4 {
		t.Errorf("refused for %s: only %d of %d", why, c.Refused[why], n)
	}
	if other := c.RefusedTotal() - n; other > 0 {
		t.Errorf("%d lines refused for other reasons: %v", other, c.Refused)
	}
}

func TestParseFaults(t *testing.T) {
	got, err := ParseFaults([]string{"lost-echo=0.1", "reset@12.5", "noise-burst=3@2-4", "freeze", "stuck-load@5-60", "load-spike"})
	if err != nil {
		t.Fatal(err)
	}
	want := []Injected{
		{"lost-echo", 0.1, 0, forever}, {"reset", 0.5, 12.5, 12.5}, {"noise-burst", 3, 2, 4},
		{"freeze", 3, 10, forever}, {"stuck-load", 2, 5, 60}, {"load-spike", 0.02, 0, forever},
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %+v, want %+v", got, want)
	}
	for spec, says := range map[string]string{
		"lost-ecko":       "lost-echo",          // names what there is
		"":                "lost-echo",          //
		"lost-echo=":      `"" is not a number`, //
		"lost-echo=nan":   "not a number",
		"lost-echo=-1":    "must be positive",
		"lost-echo=1.5":   "at most 1",
		"reset@":          "not a number",
		"reset@-3":        "not a number",
		"reset@5-3":       "after its end",
		"reset@1e999":     "not a number",
		"clock-wrap=5@10": "takes no time",
	} {
		_, err := ParseFaults([]string{"crlf", spec})
		if err == nil || !errors.Is(err, ErrFault) || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, want a refusal that says %q", spec, err, says)
		}
	}
}

// An event without a time of its own comes again and again.
func TestRepeatedEvents(t *testing.T) {
	h := hear(t, with(t, brisk(), "reset"), 55) // at 10, 30 and 50 s
	if boots := h.samples[len(h.samples)-1].Boot; boots != 4 {
		t.Errorf("%d power-ups in 55 s, want 4", boots)
	}
	h = hear(t, with(t, brisk(), "reset@12-40"), 55) // at 12 and 32 s
	if boots := h.samples[len(h.samples)-1].Boot; boots != 3 {
		t.Errorf("%d power-ups in 55 s, want 3", boots)
	}
}

// All faults at once neither stop nor crash the device.
func TestAllFaultsAtOnce(t *testing.T) {
	var all []string
	for _, f := range Faults() {
		all = append(all, f.Name)
	}
	for seed := range uint64(5) {
		c := with(t, brisk(), all...)
		c.Seed = seed
		if h := hear(t, c, 60); len(h.samples) < 4000 {
			t.Errorf("only %d readings in a minute", len(h.samples))
		}
	}
}

// The same fault may be asked for more than once; a line can then be torn down to
// nothing.
func TestFaultsTwice(t *testing.T) {
	var all []string
	for _, f := range Faults() {
		all = append(all, f.Name, f.Name)
	}
	hear(t, with(t, brisk(), all...), 60)
	hear(t, with(t, brisk(), "torn-line=1", "torn-line=1", "no-newline=1", "no-newline=1"), 60)
}
