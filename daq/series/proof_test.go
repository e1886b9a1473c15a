package series

import (
	"math"
	"os"
	"strconv"
	"testing"
	"time"

	"joulewell/daq/trials"
	"joulewell/daq/virtual"
)

// many is how many benches a test plays: few, or as many as the environment asks for.
func many(few int) uint64 {
	if n, err := strconv.ParseUint(os.Getenv("JOULEWELL_BENCHES"), 10, 64); err == nil {
		return n
	}
	return uint64(few)
}

// slow is a bench whose swing takes about as long as a room allows: 2.4 s.
func slow() virtual.Config {
	c := tamar()
	c.Spring.Rate, c.Bob.Mass, c.Support, c.Ranger.Max = 2, 0.3, 2.6, 3
	c.Hand.Pull = 1
	return c
}

// The file of a trial reaches back far enough for whoever opens it to see its release: the
// hold before it is inside, the release is found again where it was seen live, and nothing
// is left of the stand-in for a file in which it is not.
func TestTheHoldIsInside(t *testing.T) {
	latest, due := 0.0, 0
	for seed := range many(2) {
		c := virtual.Random(seed)
		c.Spring.Coils = coils
		if seed == 0 {
			c = slow()
		}
		c.Hand.Hold, c.Hand.Carry = 4, 2
		swing := 2 * math.Pi * math.Sqrt((c.Bob.Mass+c.Spring.Mass/3)/c.Spring.Rate)
		c.Hand.Period = 4*swing + 14
		s := newStage(t, c)
		rule := trials.Rule{Cycles: 3}
		s.arm(rule, "")
		s.play(time.Duration((2*c.Hand.Period + c.Hand.Hold) * 1e9))
		for _, x := range s.await("judgements", func(View) bool { return s.left() == 0 }).Trials {
			rows := s.found(x.Run, rule)
			if len(rows) != 1 || !same(rows[0], x.Row) {
				t.Errorf("seed %d, swing of %.2f s: the file gives %+v, listed is %+v", seed, swing, rows, x.Row)
				continue
			}
			if first := s.firstRow(x.Run); x.Row.Release-first < 2.4 {
				t.Errorf("seed %d: released at %.2f s, the file begins at %.2f s", seed, x.Row.Release, first)
			}
			latest = max(latest, -x.Row.Release)
		}
		due += 2
		if n := len(s.View().Trials); n != 2 {
			t.Errorf("seed %d, swing of %.2f s: %d trials, want 2", seed, swing, n)
		}
		s.stop()
	}
	t.Logf("%d trials; a run begins up to %.2f s after its release", due, latest)
}
