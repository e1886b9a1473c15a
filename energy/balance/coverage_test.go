package balance

import (
	"math"
	"os"
	"strconv"
	"testing"
)

// The proof: on benches of every kind, read by hand and written down, the 95 % interval
// of the loss holds the true loss about that often. JOULEWELL_BENCHES asks for more
// benches than the usual 1000.
func TestIntervalHoldsTheTruth(t *testing.T) {
	benches := 1000
	if n, err := strconv.Atoi(os.Getenv("JOULEWELL_BENCHES")); err == nil {
		benches = n
	}
	held, refused := 0, 0
	for seed := range benches {
		trial := newTrial(t, uint64(seed))
		c, err := Compare(trial.readings, Method{})
		if err != nil {
			if refused < 5 {
				t.Logf("bench %d: %v", seed, err)
			}
			refused++
			continue
		}
		if math.Abs(c.Loss.Value-trial.loss) <= c.Expanded {
			held++
		}
	}
	share := float64(held) / float64(benches-refused)
	t.Logf("%d benches, %d refused: %.2f %% of the intervals hold the truth", benches, refused, 100*share)
	if share < 0.93 || share > 0.97 {
		t.Errorf("the 95 %% interval holds the truth on %.2f %% of the benches, want 93 to 97", 100*share)
	}
	if refused > benches/20 {
		t.Errorf("%d of %d possible benches were refused", refused, benches)
	}
}
