package paper

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"joulewell/daq/analysis/report"
	"joulewell/daq/runfile"
	"joulewell/daq/trials"
	"joulewell/daq/trials/kept"
	"joulewell/daq/upkeep"
	"joulewell/daq/workup"
	"joulewell/daq/workup/proof"
)

// worked works out a recording as the run of a name.
func worked(t *testing.T, name, recording string, change func(*runfile.Meta)) *workup.Run {
	t.Helper()
	dir := t.TempDir()
	proof.Record(t, dir, name, "../../testdata/recordings/"+recording, change)
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	r, err := workup.Open(t.Context(), root, name, workup.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func written(t *testing.T, r *Report) string {
	t.Helper()
	var b strings.Builder
	if err := r.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// printed is a number of the page with the place of its last digit, in SI units.
type printed struct{ value, place float64 }

var unitsOf = map[string]float64{"": 1, "s": 1, "J": 1, "mJ": 1e-3, "µJ": 1e-6, "mm": 1e-3, "%": 1e-2}

// numeral reads "12.3", or "12.3 mJ", in a column whose head may name the unit.
func numeral(t *testing.T, text, head string) printed {
	t.Helper()
	text = strings.TrimSpace(strings.TrimPrefix(text, "±"))
	number, unit, _ := strings.Cut(text, " ")
	if unit == "" {
		if _, of, ok := strings.Cut(head, " / "); ok {
			unit = of
		}
	}
	scale, known := unitsOf[unit]
	v, err := strconv.ParseFloat(number, 64)
	if err != nil || !known {
		t.Fatalf("%q is no number with a unit", text)
	}
	_, decimals, point := strings.Cut(number, ".")
	place := -len(decimals)
	if !point { // zeros at the end may stand for digits that are not known
		place = len(number) - len(strings.TrimRight(number, "0"))
	}
	return printed{v * scale, scale * math.Pow10(place)}
}

// is reports whether p is v, rounded to the digits printed.
func (p printed) is(v float64) bool { return math.Abs(p.value-v) <= 0.5001*p.place }

// The page holds the numbers that analyse --json prints: each turning point, each row of
// the ledger, the accounts, the budget, and the sentences.
func TestReportHoldsTheNumbersOfAnalyse(t *testing.T) {
	for _, recording := range []string{"tamar-drop", "tamar-reset", "tamar-wrap"} {
		run := worked(t, "evening", recording, nil)
		var object bytes.Buffer
		if err := report.JSON(&object, "evening.csv", &run.Meta.Setup, run.Whole); err != nil {
			t.Fatal(err)
		}
		type estimate struct{ Value, U float64 }
		type books struct {
			Swing    estimate `json:"swing_J"`
			Change   estimate `json:"change_J"`
			Lost     estimate `json:"lost_J"`
			Residual estimate `json:"residual_J"`
			Accounts []struct {
				Account string
				Work    estimate `json:"work_J"`
			}
			Budget []struct {
				Input string
				U     float64 `json:"u_J"`
			} `json:"lost_budget"`
		}
		var said struct {
			Swings []struct {
				Turns []struct {
					Index         int
					T             estimate `json:"time_s"`
					Extension     estimate `json:"extension_m"`
					Elastic       estimate `json:"elastic_J"`
					Gravitational estimate `json:"gravitational_J"`
					Total         estimate `json:"total_J"`
				} `json:"turning_points"`
				Decay    string `json:"decay_verdict"`
				Cycles   []books
				Whole    books
				Sentence string `json:"verdict"`
			}
		}
		if err := json.Unmarshal(object.Bytes(), &said); err != nil {
			t.Fatal(err)
		}
		page := written(t, &Report{Runs: []*workup.Run{run}})
		keepsToItself(t, recording, page)
		tables, words := read(t, page)
		held := 0
		hold := func(what, text, head string, want estimate) {
			t.Helper()
			value, expanded, ok := strings.Cut(text, " ± ")
			if !ok {
				t.Errorf("%s: %s reads %q", recording, what, text)
				return
			}
			if p := numeral(t, value, head); !p.is(want.Value) {
				t.Errorf("%s: %s is %q, and %g by analyse", recording, what, text, want.Value)
			}
			if p := numeral(t, expanded, head); !p.is(2 * want.U) {
				t.Errorf("%s: the uncertainty of %s is %q, and twice %g by analyse", recording, what, text, want.U)
			}
			held++
		}
		for i, s := range said.Swings {
			g := find(t, tables, i, "Turning points")
			shownTurns := 0
			for _, row := range g.rows {
				for _, p := range s.Turns {
					if strconv.Itoa(p.Index) != row[0] {
						continue
					}
					shownTurns++
					if !numeral(t, row[1], g.head[1]).is(p.T.Value) {
						t.Errorf("%s: turning point %d at %s, and at %g by analyse", recording, p.Index, row[1], p.T.Value)
					}
					for j, want := range []estimate{p.Extension, p.Elastic, p.Gravitational, p.Total} {
						hold("turning point "+row[0]+", "+g.head[2+j], row[2+j], g.head[2+j], want)
					}
				}
			}
			if shownTurns != min(len(s.Turns), mostRows) {
				t.Errorf("%s: %d turning points of %d", recording, shownTurns, len(s.Turns))
			}
			g = find(t, tables, i, "Ledger from")
			hold("gone", g.rows[0][1], "", estimate{-s.Whole.Change.Value, s.Whole.Change.U})
			for j, a := range s.Whole.Accounts {
				if row := g.rows[1+j]; row[0] != "less: "+a.Account {
					t.Errorf("%s: account %q in the place of %q", recording, row[0], a.Account)
				} else {
					hold(a.Account, row[1], "", a.Work)
				}
			}
			n := len(g.rows)
			hold("in no account", g.rows[n-2][1], "", s.Whole.Residual)
			hold("lost", g.rows[n-1][1], "", s.Whole.Lost)
			g = find(t, tables, i, "Where the uncertainty")
			for j, c := range s.Whole.Budget[:len(g.rows)-1] {
				if row := g.rows[j]; row[0] != c.Input || !numeral(t, row[1], "").is(2*c.U) {
					t.Errorf("%s: budget %q, and %s %g by analyse", recording, row, c.Input, c.U)
				}
				held++
			}
			g = find(t, tables, i, "Ledger by cycle")
			for j, c := range s.Cycles[:min(len(s.Cycles), mostRows-6)] {
				hold("a row of the ledger", g.rows[j][2], g.head[2], c.Swing)
				hold("a row of the ledger", g.rows[j][3], g.head[3], c.Lost)
				hold("a row of the ledger", g.rows[j][4], g.head[4], c.Residual)
			}
			if s.Decay == "" {
				s.Decay = "There are too few turning points to tell."
			}
			for _, want := range []string{s.Sentence, s.Decay} {
				if want == "" || !strings.Contains(words, want) {
					t.Errorf("%s: the page does not say %q", recording, want)
				}
			}
		}
		if held < 50 {
			t.Errorf("%s: only %d numbers were held against each other", recording, held)
		}
	}
}

// A set has a first page with all runs, which leads to each; what is not in it is named;
// no two elements share an id; and a run does not take too much room.
func TestSet(t *testing.T) {
	drop, reset := worked(t, "one", "tamar-drop", nil), worked(t, "two", "tamar-reset", func(m *runfile.Meta) { m.Virtual = false })
	drop.Trials[0].Findings = []trials.Finding{{Fault: trials.Sway, Sentence: "it swung sideways", Voids: true}}
	r := &Report{
		Runs: []*workup.Run{drop, reset}, Refused: []Refusal{{"rain.csv", "not a run file: line 1 has no column time_s"}},
		Command: "joulewell report one.csv two.csv rain.csv", Software: "joulewell 1",
	}
	page := written(t, r)
	keepsToItself(t, "set", page)
	tables, words := read(t, page)
	all := find(t, tables, 0, "All runs")
	if len(all.rows) != 2 || all.rows[0][0] != "one" || all.rows[0][1] != "Tamar, brass bob on spring S-4; simulated" || all.rows[1][1] != "Tamar, brass bob on spring S-4" {
		t.Errorf("all runs: %q", all.rows)
	}
	for _, want := range []string{
		"rain.csv: not a run file", "it swung sideways (voids the trial)", "joulewell report one.csv two.csv rain.csv", "joulewell 1",
		"Virtual bench: these readings are simulated.", "keep faces out of the spring's line", "licensed to run its laboratory",
		"first drop of the evening", "2026-11-25 18:42:10 UTC",
	} {
		if !strings.Contains(words, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	if n := strings.Count(words, "Virtual bench: these readings are simulated."); n != 1 {
		t.Errorf("%d runs are marked as simulated, one is", n)
	}
	ids := map[string]bool{}
	for _, m := range regexp.MustCompile(`\sid="([^"]*)"`).FindAllStringSubmatch(page, -1) {
		if ids[m[1]] {
			t.Errorf("id %s is there twice", m[1])
		}
		ids[m[1]] = true
	}
	refers := regexp.MustCompile(`(?:href="#|aria-labelledby=")([^"]*)"`).FindAllStringSubmatch(page, -1)
	if len(refers) < 2+2*3 {
		t.Errorf("only %d references: two runs and their figures", len(refers))
	}
	for _, m := range refers {
		if !ids[m[1]] {
			t.Errorf("something refers to %q, which is not there", m[1])
		}
	}
	if one := len(written(t, &Report{Runs: []*workup.Run{drop}})); one > 400_000 {
		t.Errorf("a run takes %d bytes", one)
	}
}

// An hour of drops still makes a page that one can print.
func TestManySwings(t *testing.T) {
	run := worked(t, "hour", "tamar-drop", nil)
	for len(run.Whole.Swings) < 120 {
		run.Whole.Swings = append(run.Whole.Swings, run.Whole.Swings[0])
		run.Trials = append(run.Trials, run.Trials[0])
	}
	page := written(t, &Report{Runs: []*workup.Run{run}})
	if len(page) > 400_000 {
		t.Errorf("%d bytes", len(page))
	}
	tables, words := read(t, page)
	if g := find(t, tables, 0, "All swings"); len(g.rows) != 120 {
		t.Errorf("%d swings in the table of all", len(g.rows))
	}
	find(t, tables, mostTold-1, "Ledger from")
	if !strings.Contains(words, "112 more swings stand in the table") {
		t.Error("it is not said that swings are told in short")
	}
}

// Whatever people typed is shown as they typed it, and nothing of it is obeyed.
func TestWhatPeopleTyped(t *testing.T) {
	const odd = `<script>alert("S-4")</script> & </p><img src=//x onerror=a()> 'µ' ${x} {{.}}`
	run := worked(t, "tamar", "tamar-drop", func(m *runfile.Meta) {
		m.Note, m.Setup.Name, m.Setup.SpringLabel, m.Setup.BobLabel, m.Source = odd, odd, odd, odd, odd
	})
	run.Group = odd
	run.Trials[0].Findings = []trials.Finding{{Fault: trials.Sway, Sentence: odd}}
	run.Used = []upkeep.Entry{{Kind: upkeep.Spring, By: odd, Note: odd, Method: odd}}
	for name, r := range map[string]*Report{
		"one": {Runs: []*workup.Run{run}, Command: odd, Software: odd, Book: odd},
		"set": {Runs: []*workup.Run{run, run}, Refused: []Refusal{{odd, odd}}, Command: odd},
	} {
		page := written(t, r)
		if m := regexp.MustCompile(`(?i)<(script|img)|<[^>]* on[a-z]+=`).FindString(page); m != "" {
			t.Errorf("%s: %q", name, m)
		}
		_, words := read(t, page)
		if n := strings.Count(words, odd); n < 9 {
			t.Errorf("%s: shown as typed %d times", name, n)
		}
	}
}

// A trial that people kept, with group and overruled verdict, is told as such; of the
// calibrations, date, age at the run, who, and what was read.
func TestKeptTrialsAndCalibrations(t *testing.T) {
	dir := t.TempDir()
	proof.Record(t, dir, "tamar", "../../testdata/recordings/tamar-drop", nil)
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	row := trials.Row{Run: "tamar.csv", Release: 1.01, Counts: true, Overruled: true, Cycles: 6}
	if err := kept.Write(root, kept.Kept{Run: "tamar", Group: "bench by the window", Trials: []trials.Row{row}}); err != nil {
		t.Fatal(err)
	}
	rate := 25.14
	book, err := upkeep.Parse(`[[calibration]]
kind = "spring"
date = 2026-11-20T17:00:00Z
due = 2026-11-24T17:00:00Z
by = "evening course"
as_left = { spring_rate_N_m = ` + strconv.FormatFloat(rate, 'g', -1, 64) + ` }
points = [{ load = "A", length = "180 mm" }, { load = "A + B", length = "219 mm" }]
`)
	if err != nil {
		t.Fatal(err)
	}
	r, err := workup.Open(t.Context(), root, "tamar", workup.Options{Book: book})
	if err != nil {
		t.Fatal(err)
	}
	if have := r.Meta.Setup.Apparatus.Spring.Rate.Value; have != rate {
		t.Fatalf("the recording's spring has a rate of %g N/m", have)
	}
	tables, words := read(t, written(t, &Report{Runs: []*workup.Run{r}, Book: "calibration.toml"}))
	if g := find(t, tables, 0, "Trials as they were kept"); g.rows[0][6] != "yes, a person decided so" || g.rows[0][2] != "-" {
		t.Errorf("trials: %q", g.rows)
	}
	if !strings.Contains(words, "bench by the window") {
		t.Error("the group is not named")
	}
	spring := find(t, tables, 0, "Calibrations").rows[3]
	if spring[1] != "2026-11-20, 5 days before the run, by evening course; overdue: the calibration of the spring was due on 2026-11-24" ||
		spring[3] != "2 points: length 180 mm, 219 mm; load A, A + B" {
		t.Errorf("spring: %q", spring)
	}
}
