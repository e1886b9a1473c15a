package table

import (
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"joulewell/daq/trials"
)

// Eight series of g at Washington, National Bureau of Standards 1934-35 (see
// calib/fit/testdata/SOURCES.md), as if they were losses: F 3.56753 on 7 and 73 degrees of
// freedom, p 0.0023566, Bartlett's p 3.4e-9, by R 4.2's anova and bartlett.test.
func TestClassOfGravitySeries(t *testing.T) {
	text, err := os.ReadFile("../../../calib/fit/testdata/nbs_gravity.csv")
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(string(text))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var all []Trial
	for _, row := range rows[1:] {
		v, _ := strconv.ParseFloat(row[1], 64)
		all = append(all, made("series "+row[0], v, 1, 0))
	}
	c := ClassOf(all)
	a := c.Quantities[0]
	near(t, "F", a.ChiSquared/float64(a.Spare), 3.567530293074716, 1e-9)
	near(t, "p", a.P, 0.002356617255616596, 1e-8)
	near(t, "Birge", a.Birge, math.Sqrt(3.567530293074716), 1e-9)
	near(t, "degrees of freedom", *a.DoF, 73, 1e-12)
	near(t, "Bartlett's p", a.Alike, 3.366908696728833e-09, 1e-6)
	if len(a.Groups) != 8 || a.Groups[0].N != 8 || !strings.Contains(a.Sentence, "the 8 groups contradict each other (Birge ratio 1.89, p = 0.0024)") {
		t.Errorf("%+v", a)
	}
	if !strings.Contains(strings.Join(c.Notes, "\n"), "scatter unlike (Bartlett's test, p = less than 0.0001)") {
		t.Errorf("%q", c.Notes)
	}
}

// Two groups on one bench share its spring, a third has its own: the mean knows.
func TestClassKnowsWhatBenchesShare(t *testing.T) {
	var all []Trial
	for g, spring := range []string{"S-4", "S-4", "S-5"} {
		for i := range 4 {
			tr := made(fmt.Sprint("group ", g), 1+0.01*float64(i%2), 0.01, 0.3)
			tr.Row.Spring = spring
			tr.Row.Shared[trials.KeyCycleLoss][0].Source = "spring rate of " + spring
			all = append(all, tr)
		}
	}
	c := ClassOf(all)
	a := c.Quantities[0]
	if w := a.Groups[0].Weight; math.Abs(w-0.25) > 1e-3 || math.Abs(a.Groups[2].Weight-0.5) > 1e-3 {
		t.Errorf("weights %+v: two groups on one spring count for one", a.Groups)
	}
	near(t, "u", a.Own, 0.3/math.Sqrt2, 1e-3)
	if !strings.Contains(strings.Join(c.Notes, "\n"), "the groups used 2 springs (S-4; S-5)") {
		t.Errorf("%q", c.Notes)
	}
}

// One group has no mean of groups; groups of one trial each go by what the trials state.
func TestSmallClasses(t *testing.T) {
	a := ClassOf(many("red", 1, 2)).Quantities[0]
	if a.Mean != nil || a.Sentence != "" || len(a.Groups) != 1 {
		t.Errorf("%+v", a)
	}
	a = ClassOf(append(many("red", 1), many("blue", 1.1)...)).Quantities[0]
	if a.DoF != nil || math.Abs(a.Scatter-0.05) > 1e-12 || a.Mean == nil || math.Abs(*a.Mean-1.05) > 1e-12 {
		t.Errorf("%+v", a)
	}
	near(t, "what both share stays", a.Shared, 0.3, 1e-9)
	if len(ClassOf(nil).Quantities) != 0 {
		t.Error("no trials have a quantity")
	}
}

// Classes of six groups on three benches, whose calibrations are off by what they state:
// one class in twenty is taken for contradicting itself, the mean holds the truth in 95 %.
func TestClassKeepsItsWord(t *testing.T) {
	rng := rand.New(rand.NewPCG(33, 1))
	const classes = 500
	alarms, held := 0, 0
	for range classes {
		gravity := rng.NormFloat64()
		var all []Trial
		for bench := range 3 {
			rate := rng.NormFloat64()
			for half := range 2 {
				for range 4 {
					tr := made(fmt.Sprint("group ", 2*bench+half), 1+0.1*gravity+0.2*rate+0.15*rng.NormFloat64(), 0.15, 0.2)
					tr.Row.Shared[trials.KeyCycleLoss] = []trials.Effect{{Source: fmt.Sprint("rate ", bench), By: 0.2}, {Source: "gravity", By: 0.1}}
					all = append(all, tr)
				}
			}
		}
		a := ClassOf(all).Quantities[0]
		if a.P < 0.05 {
			alarms++
		}
		if math.Abs(*a.Mean-1) <= a.U {
			held++
		}
	}
	t.Logf("false alarms %.3f, truth held %.3f", float64(alarms)/classes, float64(held)/classes)
	if r := float64(alarms) / classes; r < 0.02 || r > 0.07 {
		t.Errorf("false alarms %.3f", r)
	}
	if r := float64(held) / classes; r < 0.935 || r > 0.975 {
		t.Errorf("truth held %.3f", r)
	}
}
