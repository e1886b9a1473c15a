package drift_test

import (
	"fmt"
	"math"
	"os"
	"time"

	"joulewell/calib/drift"
	"joulewell/energy"
)

// A term of checks with the brass bob of bench Tamar: level for six weeks, then the cell's
// zero creeps up.
func Example() {
	path, err := os.MkdirTemp("", "tamar")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(path)
	dir, err := os.OpenRoot(path)
	if err != nil {
		fmt.Println(err)
		return
	}
	defer dir.Close()

	deviations := []float64{1, -2, 0, 2, -1, 0, 3, 4, 6, 7, 9, 10} // [mN]
	for week, d := range deviations {
		err := drift.Append(dir, "checks_N.csv", drift.Newtons, drift.Record{
			When:       time.Date(2026, 3, 2, 18, 30, 0, 0, time.UTC).AddDate(0, 0, 7*week),
			What:       drift.Mass,
			Standard:   "brass bob",
			Reference:  energy.Estimate{Value: 2.4516, U: 0.0005},
			Indication: energy.Estimate{Value: 2.4516 + d/1000, U: 0.001},
			Readings:   800,
			Air:        math.NaN(),
		})
		if err != nil {
			fmt.Println(err)
			return
		}
	}
	h, err := drift.Load(dir, "checks_N.csv")
	if err != nil {
		fmt.Println(err)
		return
	}
	v, err := drift.Judge(h.Of(drift.Mass, "brass bob"), drift.Rules{Baseline: 6, Needed: 0.005})
	if err != nil {
		fmt.Println(err)
		return
	}
	t, err := h.Since(v.Since).Trend(0.95)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(v.Reason)
	fmt.Printf("since then %.1f +- %.1f mN a week\n", t.Rate.Value*7*86400e3, t.Rate.U*7*86400e3)
	// Output:
	// recalibrate: cumulative sum beyond its decision, up since 2026-04-13; the deviation is +0.008 N (standard uncertainty 0.0011), beyond the 0.005 N needed
	// since then 1.5 +- 0.2 mN a week
}
