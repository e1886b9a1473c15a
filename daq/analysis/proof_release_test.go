package analysis

import (
	"strings"
	"testing"
)

func has(notes []string, text string) bool { return strings.Contains(strings.Join(notes, "; "), text) }

// A push of 0.2 m/s at the release is told from a plain release where the readings allow
// it. Downward, the release looks like an earlier one from v^2/2g = 2 mm higher: a
// thousand readings a second tell that as a rule, a hundred seldom. Upward, the bob is seen
// to rise. A plain release must not pass for a push; with too few readings nothing is said.
func TestPushIsTold(t *testing.T) {
	n := benches(8)
	for _, c := range []struct {
		push  float64 // [m/s] downward
		kind  sensors
		least float64 // share told
	}{{0, good, 0}, {0, dense, 0}, {0.2, good, 0}, {0.2, dense, 0.5}, {-0.2, good, 0.7}, {-0.2, dense, 0.8}, {0.2, cheap, 0}} {
		told, swings := 0, 0
		var speed tally
		for seed := uint64(0); swings < n && seed < uint64(6*n); seed++ {
			b := draw(40000 + seed)
			if b.kind != c.kind {
				continue
			}
			b.Hand.Push = c.push
			run, _, err := b.analyse(t, 4, Options{})
			if err != nil {
				continue
			}
			swings++
			s := &run.Swings[0]
			if s.Push == nil || !s.Push.Pushed {
				continue
			}
			told++
			speed.add(s.Push.Speed.Value, s.Push.Speed.U, -c.push)
			if s.Record[0].Release || !has(s.Notes, "the bob was pushed, not only let go, and left the hand at") {
				t.Errorf("seed %d: release in the books: %t; %q", b.seed, s.Record[0].Release, s.Notes)
			}
		}
		share := float64(told) / float64(swings)
		t.Logf("%+.1f m/s, %-5s sensors: told in %5.1f %% of %d swings; speed within 2 u in %.0f %% of those", c.push, columns[3+int(c.kind)], 100*share, swings, 100*speed.share())
		switch {
		case c.push == 0 && told > 1+swings/25:
			t.Errorf("%d of %d plain releases pass for a push", told, swings)
		case share < c.least:
			t.Errorf("told in %.2f of cases, want %.2f", share, c.least)
		}
	}
}
