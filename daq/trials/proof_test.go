package trials_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"sort"
	"strconv"
	"testing"

	"joulewell/daq/setup"
	"joulewell/daq/trials"
	"joulewell/daq/virtual"
)

const (
	first    = 4800 // seed; those below were looked at while the judges were made
	onTime   = 0.25 // [s] within which a release is seen as the one that it was
	perSwing = 20   // distances in a swing without which its turning points cannot be measured
)

// outcome is what became of a planned trial.
type outcome struct {
	planned
	trial   *trials.Trial // nil: its release was not caught
	late    float64       // [s] by which the release was put too late
	swung   float64       // [1] whole swings until the trial was over, by the clock
	visible bool
	slow    bool // the ranger is too slow for the swing
}

// playSession plays ten trials one after another: one session in five has a ranger of ten
// distances a second, one has no load cell.
func playSession(t testing.TB, seed uint64) (all []outcome, phantoms int) {
	t.Helper()
	rng := rand.New(rand.NewPCG(seed, 3))
	base := bench(seed)
	s := session{t: t, rule: trials.Rule{Cycles: cycles}}
	switch seed % 5 {
	case 1:
		base.Ranger.Optical, base.Ranger.Rate = false, 10
		base.Load.Rate = max(base.Load.Rate, 80)
	case 3:
		s.spoil = deaf
	}
	moved := true
	for _, p := range plan(t, base, rng) {
		known := p.config
		known.Seed = base.Seed // the same people measured all of them
		b := virtual.Setup(known)
		if moved || p.moved {
			s.adopt(&b)
		}
		moved = p.moved
		n, begun := len(s.events), float64(s.at)*1e-9
		s.play(p.config, p.config.Hand.Period)
		o := outcome{planned: p, visible: p.visible(t)}
		o.slow = p.config.Ranger.Rate*swings(p.config, 1) < perSwing
		for i, e := range s.events[n:] {
			late := float64(e.T)*1e-9 - begun - p.config.Hand.Hold
			switch {
			case e.Kind != trials.Released:
			case math.Abs(late) > onTime || o.trial != nil:
				phantoms++
			default:
				o.late = late
				s.judge(&o, e, s.events[n+i+1:], &b)
			}
		}
		s.frames = s.frames[:0]
		all = append(all, o)
	}
	return all, phantoms
}

// judge judges the trial that began with an event, from what was seen until it was over.
func (s *session) judge(o *outcome, e trials.Event, then []trials.Event, b *setup.Bench) {
	s.t.Helper()
	options, end := trials.Options{Release: float64(e.T) * 1e-9}, s.at
	if len(then) > 0 && then[0].Kind == trials.Over {
		end, options.Over = then[0].Seen, then[0].Reason
		o.swung = float64(then[0].T-e.T) * 1e-9 / swings(o.config, 1)
	}
	const hold = 2_000_000_000 // [ns]
	upTo := func(at int64) int {
		return sort.Search(len(s.frames), func(i int) bool { return s.frames[i].T > at })
	}
	var err error
	if o.trial, err = trials.Work(s.frames[upTo(e.T-hold):upTo(end)], b, options); err != nil {
		s.t.Fatal(err)
	}
}

// names reports whether a fault is among what was found.
func (o *outcome) names(fault trials.Fault) bool {
	return slices.ContainsFunc(o.trial.Row.Findings, func(f trials.Finding) bool { return f.Fault == fault })
}

// wronged reports whether a good trial is said not to count. A swing too quick for the
// ranger cannot be measured; that is said of it, and is no wrong.
func (o *outcome) wronged() bool {
	return slices.ContainsFunc(o.trial.Row.Findings, func(f trials.Finding) bool {
		return f.Voids && !(o.slow && f.Fault == trials.Unread)
	})
}

// tally counts trials of one kind.
type tally struct{ all, right, visible, seen, besides, unread int }

func (c *tally) add(o *outcome) {
	right := o.names(o.fault)
	if o.fault == "" {
		right = !o.wronged()
	}
	count := func(n *int, yes bool) {
		if yes {
			*n++
		}
	}
	count(&c.all, true)
	count(&c.right, right)
	count(&c.visible, o.visible)
	count(&c.seen, o.visible && right)
	count(&c.unread, o.slow && o.names(trials.Unread))
	for _, other := range []trials.Fault{trials.Pushed, trials.Floor, trials.Sway, trials.LostEchoes} {
		if other != o.fault && o.names(other) {
			c.besides++
			break
		}
	}
}

// Sessions of ten trials with planted faults, on benches drawn at random, with cheap and
// good sensors: releases are caught, good trials count, faults are named. JOULEWELL_BENCHES
// sets how many sessions; with few of them chance is allowed for.
func TestSessions(t *testing.T) {
	n := many(6)
	results, phantoms := make([][]outcome, n), make([]int, n)
	t.Run("play", func(t *testing.T) {
		for i := range n {
			t.Run(strconv.FormatUint(first+i, 10), func(t *testing.T) {
				t.Parallel()
				results[i], phantoms[i] = playSession(t, first+i)
			})
		}
	})
	count := map[trials.Fault]*tally{"": {}, trials.Pushed: {}, trials.Floor: {}, trials.Sway: {}, trials.LostEchoes: {}}
	caught, all, odd := 0, 0, 0
	var late []float64
	for i, outcomes := range results {
		for k := range outcomes {
			o := &outcomes[k]
			all++
			if o.trial == nil {
				t.Logf("session %d, trial %d, %q: release not caught", first+i, k, o.fault)
				continue
			}
			caught++
			late = append(late, math.Abs(o.late))
			if o.fault == "" && o.trial.Row.Over == trials.ByCycles && math.Abs(o.swung-cycles) > 1 {
				odd++
			}
			count[o.fault].add(o)
			if o.fault == "" && o.wronged() || o.visible && o.fault != "" && !o.names(o.fault) {
				t.Logf("session %d, trial %d, %q planted: %+v", first+i, k, o.fault, o.trial.Row.Findings)
			}
		}
	}
	strays := 0
	for _, p := range phantoms {
		strays += p
	}
	slices.Sort(late)
	t.Logf("%d of %d releases caught, 95 %% of them within %.0f ms; %d strays; %d good trials not over after about %d swings",
		caught, all, 1e3*late[len(late)*95/100], strays, odd, cycles)
	enough := func(what string, have, of int, share float64) {
		t.Helper()
		least := share * float64(of)
		if n < 100 {
			least -= 2*math.Sqrt(share*(1-share)*float64(of)) + 0.5
		}
		if float64(have) < least {
			t.Errorf("%s: %d of %d, wanted are %g %%", what, have, of, 100*share)
		}
	}
	enough("releases caught", caught, all, 0.98)
	enough("no strays", all-strays, all, 0.98)
	enough("good trials over in time", count[""].all-odd, count[""].all, 0.98)
	var visible, seen, planted, named, swayed, swaysNamed int
	for fault, c := range count {
		if fault == "" {
			t.Logf("good: %d of %d count; %d of slow rangers cannot be measured", c.right, c.all, c.unread)
			enough("good trials that count", c.right, c.all, 0.98)
			continue
		}
		t.Logf("%s: %d of %d named; of those to be seen %d of %d; another fault besides: %d", fault, c.right, c.all, c.seen, c.visible, c.besides)
		enough(string(fault), c.seen, c.visible, 0.95)
		visible, seen, planted, named = visible+c.visible, seen+c.seen, planted+c.all, named+c.right
		if fault == trials.Sway { // in step with the swing it looks like a wider one, whoever looks
			swayed, swaysNamed = c.all, c.right
		}
	}
	t.Logf("all faults: %d of %d named; of those to be seen %d of %d", named, planted, seen, visible)
	enough("faults to be seen", seen, visible, 0.95)
	enough("pushes, floor contacts and lost echoes, to be seen or not", named-swaysNamed, planted-swayed, 0.95)
}
