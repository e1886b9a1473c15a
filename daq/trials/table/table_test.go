package table

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"joulewell/daq/trials"
	"joulewell/energy"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol*max(math.Abs(want), 1e-300)) {
		t.Errorf("%s = %.15g, want %.15g", what, got, want)
	}
}

// made is a trial whose only quantity is its loss per cycle [J]; own is the part of its
// uncertainty that is new, shared what the spring's rate does.
func made(group string, loss, own, shared float64) Trial {
	return Trial{Run: "run", Group: group, Row: trials.Row{
		Bench: "Tamar", Spring: "S-4", Bob: "brass bob", Counts: true,
		CycleLoss: &energy.Estimate{Value: loss, U: math.Hypot(own, shared)},
		Shared:    map[string][]trials.Effect{trials.KeyCycleLoss: {{Source: "spring rate of S-4", By: shared}}},
	}}
}

func many(group string, losses ...float64) (all []Trial) {
	for _, v := range losses {
		all = append(all, made(group, v, 0.05, 0.3))
	}
	return all
}

func only(t *testing.T, g Group) Column {
	t.Helper()
	if len(g.Columns) != 1 {
		t.Fatalf("%d columns, want 1", len(g.Columns))
	}
	return g.Columns[0]
}

// R 4.2: y <- c(1.42, 1.38, 1.45, 1.51, 1.49, 1.56); mean(y); sd(y); summary(lm(y ~
// seq(0, 5)))$coefficients. What the trials share stays in the mean as it is.
func TestColumn(t *testing.T) {
	all := many("red", 1.42, 1.38, 1.45, 1.51, 1.49, 1.56)
	bad := made("red", 99, 1, 1)
	bad.Row.Counts = false
	all = append(all, bad)
	table := Of(all)
	g := table.Groups[0]
	c := only(t, g)
	if g.Trials != 6 || g.LeftOut != 1 || c.N != 6 || len(c.Outliers) != 0 {
		t.Errorf("%+v", g)
	}
	sd := 0.06493586579592725
	near(t, "mean", c.Mean, 1.468333333333333, 1e-14)
	near(t, "sd", *c.SD, sd, 1e-12)
	near(t, "u of the mean", *c.UMean, sd/math.Sqrt(6), 1e-12)
	near(t, "shared", c.UShared, 0.3, 1e-12)
	near(t, "combined", c.UCombined, math.Hypot(0.3, sd/math.Sqrt(6)), 1e-12)
	near(t, "degrees of freedom", *c.DoF, 5*math.Pow(c.UCombined/(*c.UMean), 4), 1e-12)
	near(t, "trend", c.Trend.PerTrial, 0.03114285714285706, 1e-10)
	near(t, "u of the trend", c.Trend.U, 0.007662968643768223, 1e-9)
	near(t, "p of the trend", c.Trend.P, 0.01529734832779993, 1e-8)
	if !strings.Contains(strings.Join(table.Notes, "\n"), "not counting: 1 of 7 trials") {
		t.Errorf("notes %q", table.Notes)
	}
}

// NIST/SEMATECH e-Handbook 1.3.5.17.1 (data of Tietjen and Moore): the last is an
// outlier. It is named, and stays in the mean.
func TestOutlierIsNamed(t *testing.T) {
	before := many("blue", 1, 2, 3)
	table := Of(append(before, many("red", 199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57)...))
	c := only(t, table.Groups[1])
	near(t, "mean", c.Mean, 206.43375, 1e-12)
	if len(c.Outliers) != 1 || c.Outliers[0] != 10 {
		t.Errorf("outliers %v, want the last", c.Outliers)
	}
	all := strings.Join(table.Notes, "\n")
	if !strings.Contains(all, "trial 11 (run run) stands apart") || !strings.Contains(all, "their readings explain") {
		t.Errorf("notes %q", table.Notes)
	}
}

// Student's sleep data as in calib/fit: two groups on one spring, so its unsure rate
// cancels; with springs of their own it does not, and then nothing may be claimed.
func TestComparison(t *testing.T) {
	one := many("drug 1", 0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0)
	two := many("drug 2", 1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4)
	c := Of(append(one, two...)).Comparisons[0]
	near(t, "difference", c.Difference, -1.58, 1e-12)
	near(t, "t", c.T, -1.8608134674868531, 1e-10)
	near(t, "dof", *c.DoF, 17.7764735161784984, 1e-10)
	near(t, "p", c.P, 0.0793941401873582, 1e-8)
	near(t, "from", c.From, -3.3654832307117104, 1e-8)
	near(t, "to", c.To, 0.2054832307117102, 1e-7)
	if c.UShared > 1e-12 || !strings.Contains(c.Sentence, "no difference may be claimed, nor that there is none: one of up to 3.4 J would not be seen") {
		t.Errorf("%+v", c)
	}
	for i := range two {
		two[i].Row.Spring = "S-5"
		two[i].Row.Shared[trials.KeyCycleLoss][0].Source = "spring rate of S-5"
		two[i].Row.CycleLoss.Value += 3
	}
	table := Of(append(one, two...))
	c = table.Comparisons[0]
	near(t, "shared", c.UShared, 0.3*math.Sqrt2, 1e-12)
	if c.A != "drug 1" || c.B != "drug 2" || !strings.HasSuffix(c.Sentence, "drug 1 has less; that may be claimed") {
		t.Errorf("%+v", c)
	}
}

// Many pairs show a difference by chance; the sentence says so.
func TestManyPairs(t *testing.T) {
	var all []Trial
	for g, middle := range []float64{0, 0.02, 0.04, 0.11} {
		for i := range 5 {
			all = append(all, made(fmt.Sprint("group ", g), 1+middle+0.05*[]float64{-1, -0.5, 0, 0.5, 1}[i], 0.05, 0))
		}
	}
	table := Of(all)
	if n := len(table.Comparisons); n != 6 {
		t.Fatalf("%d comparisons, want 6", n)
	}
	warned := false
	for _, c := range table.Comparisons {
		warned = warned || strings.Contains(c.Sentence, "but 6 pairs were compared")
		if strings.Contains(c.Sentence, "that may be claimed") != (c.PAmong < 0.05) {
			t.Errorf("p %g, among %g: %s", c.P, c.PAmong, c.Sentence)
		}
	}
	if !warned {
		t.Error("no sentence says that six pairs were compared")
	}
	for g := range 9 {
		all = append(all, many(fmt.Sprint("more ", g), 1, 2)...)
	}
	if table := Of(all); len(table.Comparisons) != 0 || !strings.Contains(strings.Join(table.Notes, "\n"), "13 groups are too many") {
		t.Errorf("%d comparisons of 13 groups, notes %q", len(table.Comparisons), table.Notes)
	}
}

// Another bob is another group, under one label or none.
func TestGroupsByWhatTheyWereMadeWith(t *testing.T) {
	all := many("", 1, 2, 3)
	other := many("", 4)
	other[0].Row.Bob = "steel bob"
	red := many("red", 1)
	far := many("red", 1)
	far[0].Row.Bench = "Severn"
	table := Of(append(append(append(all, other...), red...), far...))
	var labels []string
	for _, g := range table.Groups {
		labels = append(labels, g.Label)
	}
	if got, want := strings.Join(labels, "; "), "Tamar, brass bob; Tamar, steel bob; red, Tamar; red, Severn"; got != want {
		t.Errorf("groups %q, want %q", got, want)
	}
}

// A row that does not say what it shares shares all of it at most.
func TestUntold(t *testing.T) {
	all := many("red", 1, 2, 3)
	for i := range all {
		all[i].Row.Shared = nil
	}
	table := Of(all)
	near(t, "shared", only(t, table.Groups[0]).UShared, math.Hypot(0.05, 0.3), 1e-12)
	if !strings.Contains(strings.Join(table.Notes, "\n"), "judge them again") {
		t.Errorf("notes %q", table.Notes)
	}
}

// Whatever the rows hold, the table has a JSON form without null lists.
func TestAnyTableHasJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var all []Trial
		for range rapid.IntRange(0, 12).Draw(t, "trials") {
			tr := made(rapid.SampledFrom([]string{"", "red", "blue", "=2+3"}).Draw(t, "group"),
				rapid.OneOf(rapid.SampledFrom([]float64{0, 1, 1, math.NaN(), math.Inf(1)}), rapid.Float64Range(-1, 1)).Draw(t, "value"),
				rapid.SampledFrom([]float64{0, 0.1, math.NaN()}).Draw(t, "own"), rapid.SampledFrom([]float64{0, 0.2}).Draw(t, "shared"))
			tr.Row.Counts = rapid.Bool().Draw(t, "counts")
			all = append(all, tr)
		}
		text, err := json.Marshal(Of(all))
		if err != nil {
			t.Fatal(err)
		}
		for _, list := range []string{"groups", "comparisons", "notes", "columns", "outliers"} {
			if strings.Contains(string(text), `"`+list+`":null`) {
				t.Errorf("%s is null: %s", list, text)
			}
		}
	})
}

// A class draws trials about one truth, with a rate that is off by what it states: 95 %
// of the means hold the truth, one comparison in twenty is taken for a difference, one
// good group in twenty gets an outlier, and one in a hundred a trend.
func TestTableKeepsItsWord(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 4))
	const classes = 3000
	held, heldPlain, alarms, outliers, trends := 0, 0, 0, 0, 0
	for range classes {
		const own, shared = 0.2, 0.1
		off := shared * rng.NormFloat64()
		var all []Trial
		for i := range 12 {
			group := []string{"red", "red", "blue"}[i%3]
			all = append(all, made(group, 1+off+own*rng.NormFloat64(), own, shared))
		}
		table := Of(all)
		c := only(t, table.Groups[0])
		if math.Abs(c.Mean-1) <= c.U {
			held++
		}
		if k := 2.36462425159278; math.Abs(c.Mean-1) <= k**c.UMean { // as if nothing were shared
			heldPlain++
		}
		if table.Comparisons[0].PAmong < 0.05 {
			alarms++
		}
		outliers += len(c.Outliers)
		if c.Trend.P < 0.01 {
			trends++
		}
	}
	share := func(n int) float64 { return float64(n) / classes }
	t.Logf("means hold the truth %.3f (by scatter alone %.3f), differences %.3f, outliers %.3f, trends %.4f",
		share(held), share(heldPlain), share(alarms), share(outliers), share(trends))
	if share(held) < 0.94 || share(held) > 0.975 || share(heldPlain) > 0.9 {
		t.Errorf("means hold the truth in %.3f, by scatter alone in %.3f", share(held), share(heldPlain))
	}
	if share(alarms) < 0.035 || share(alarms) > 0.065 || share(outliers) < 0.035 || share(outliers) > 0.065 || share(trends) > 0.016 || share(trends) < 0.004 {
		t.Errorf("differences %.3f, outliers %.3f, trends %.4f by chance", share(alarms), share(outliers), share(trends))
	}
}
