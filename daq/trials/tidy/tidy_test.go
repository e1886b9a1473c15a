package tidy

import (
	"encoding/csv"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"joulewell/daq/trials"
	"joulewell/daq/trials/kept"
	"joulewell/energy"
)

func example() kept.Kept {
	e := func(v float64) *energy.Estimate { return &energy.Estimate{Value: v, U: v / 100} }
	return kept.Kept{
		Run: "2026-11-25T184210Z-tamar", Created: time.Date(2026, 11, 25, 18, 42, 10, 0, time.UTC), Group: "window, left \"two\"", Virtual: true,
		Trials: []trials.Row{{
			Run: "2026-11-25T184210Z-tamar.csv", Bench: "Tamar", Spring: "S-4", Bob: "brass bob", Counts: true, Release: 1.25, Over: "enough cycles", Cycles: 10,
			Amplitude: e(0.097), Period: e(0.631), FirstLoss: e(2.7e-3), CycleLoss: e(3.6e-3), Swung: e(0.12), Rate: e(25.1), Start: &trials.Place{Total: *e(2.1)},
			Decay:    "viscous",
			Findings: []trials.Finding{{Fault: trials.Sway}, {Fault: trials.LostEchoes}},
			Shared:   map[string][]trials.Effect{trials.KeyFirstLoss: {{Source: "a", By: 3e-6}, {Source: "b", By: -4e-6}}},
		}, {Run: "2026-11-25T184210Z-tamar.csv", Bench: "Tamar", Overruled: true}},
	}
}

func written(t interface{ Fatal(...any) }, all ...kept.Kept) string {
	var out strings.Builder
	if err := Write(&out, all); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

func read(t *testing.T, text string) ([]kept.Kept, []error) {
	t.Helper()
	all, faults, err := Read(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return all, faults
}

// What is written is read back; only the sentences of the findings, and which inputs the
// trials share, are not in the table.
func TestWriteThenRead(t *testing.T) {
	k := example()
	k.Trials[0].Findings = nil
	text := written(t, k)
	all, faults := read(t, text)
	if len(faults) != 0 || len(all) != 1 || len(all[0].Trials) != 2 {
		t.Fatalf("%+v, %v", all, faults)
	}
	if again := written(t, all...); again != text {
		t.Errorf("%s\nread and written again\n%s", text, again)
	}
	if s := all[0].Trials[0].Shared[trials.KeyFirstLoss]; len(s) != 1 || math.Abs(s[0].By-5e-6) > 1e-15 {
		t.Errorf("shared %+v, want 5e-6 in one", s)
	}
	if !strings.Contains(written(t, example()), ",viscous,sway lost-echoes,") {
		t.Error("the findings are not in the table")
	}
}

// What a table must be for programs that open it without options: RFC 4180 quoting, no
// byte order mark, LF, as many fields in each line as names, and no number with a comma.
func TestForm(t *testing.T) {
	text := written(t, example())
	if strings.HasPrefix(text, "\uFEFF") || strings.Contains(text, "\r") || !strings.HasSuffix(text, "\n") {
		t.Errorf("%q", text)
	}
	if !strings.Contains(text, `,"window, left ""two""",`) {
		t.Errorf("the label is not quoted: %s", text)
	}
	lines, err := csv.NewReader(strings.NewReader(text)).ReadAll() // refuses lines of other lengths
	if err != nil || len(lines) != 3 {
		t.Fatalf("%d lines, %v", len(lines), err)
	}
	seen := map[string]bool{}
	for i, name := range lines[0] {
		if seen[name] || strings.ContainsAny(name, " -.,;") {
			t.Errorf("column name %q", name)
		}
		seen[name] = true
		if slices.Contains(quantities, strings.TrimPrefix(name, "u_")) && (strings.Contains(lines[1][i], ",") || lines[2][i] != "") {
			t.Errorf("%s: %q, %q", name, lines[1][i], lines[2][i])
		}
	}
}

// No text that a person chose begins as a formula does, and it comes back as it was.
func TestNoFormulas(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := example()
		any := rapid.OneOf(rapid.SampledFrom([]string{"=1+1", "+1", "-1", "@SUM(A1)", "'=1", " =cmd", "\t=1", "\r\n=1", "''", "\u00a0=1", "'", "grün; two", "1,5"}), rapid.String())
		k.Group, k.Trials[0].Bench, k.Trials[0].Bob = any.Draw(t, "group"), any.Draw(t, "bench"), any.Draw(t, "bob")
		k.Trials[0].Spring, k.Trials[0].Decay = any.Draw(t, "spring"), any.Draw(t, "decay")
		lines, err := csv.NewReader(strings.NewReader(written(t, k))).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		for i, cell := range lines[1] {
			bare := strings.TrimLeft(cell, " \t\r\n\u00a0")
			if bare == "" || !strings.ContainsRune("=+-@", rune(bare[0])) {
				continue
			}
			if _, err := parse(cell); err != nil {
				t.Errorf("column %s: %q begins as a formula does", lines[0][i], cell)
			}
		}
		for _, text := range []string{k.Group, k.Trials[0].Bench, k.Trials[0].Bob} {
			if got := unguard(guard(text)); got != text {
				t.Errorf("%q comes back as %q", text, got)
			}
		}
	})
}

// As a spreadsheet with a decimal comma saves it: semicolons, commas, a byte order mark,
// CR LF, columns moved and left out.
func TestDecimalComma(t *testing.T) {
	for _, text := range []string{
		"\uFEFFgroup;counts;run;loss_per_cycle_J;u_loss_per_cycle_J;bench\r\nred;TRUE;a;0,0036;0,0002;Tamar\r\n;;;;;\r\nred;no;a;3,6E-03;0,0002;Tamar\r\n",
		"run\tcounts\tloss_per_cycle_J\tu_loss_per_cycle_J\tgroup\tbench\na\ttrue\t0,0036\t0,0002\tred\tTamar\na\tfalse\t0.0036\t0.0002\tred\tTamar\n",
		"run,counts,loss_per_cycle_J,u_loss_per_cycle_J,group,bench\na,yes,\"0,0036\",\"0,0002\",red,Tamar\na,false,0.0036,0.0002,red,Tamar\n",
	} {
		all, faults := read(t, text)
		if len(faults) != 0 || len(all) != 1 || len(all[0].Trials) != 2 || all[0].Group != "red" {
			t.Errorf("%q: %+v, %v", text, all, faults)
			continue
		}
		for i, row := range all[0].Trials {
			if row.CycleLoss == nil || *row.CycleLoss != (energy.Estimate{Value: 0.0036, U: 0.0002}) || row.Counts != (i == 0) || row.Bench != "Tamar" {
				t.Errorf("%q: row %d is %+v", text, i, row)
			}
		}
	}
}

func TestRowsThatCannotBeRead(t *testing.T) {
	head := "run,counts,loss_per_cycle_J,u_loss_per_cycle_J,created\n"
	all, faults := read(t, head+"a,true,1,0.1,\nb,maybe,1,0.1,\nc,true,x,0.1,\nd,true,1,-1,\ne,true,1,,\n,true,1,0.1,\ng,true,1\nh,true,NaN,0.1,\ni,true,1,0.1,yesterday\n\"j,true,1,0.1\n")
	if len(all) != 1 || all[0].Run != "a" {
		t.Errorf("%+v", all)
	}
	told := ""
	for _, f := range faults {
		told += f.Error() + "\n"
	}
	for _, want := range []string{"line 3: column counts: \"maybe\"", "line 4", "line 5", "u_loss_per_cycle_J is empty", "names no run", "3 fields, the header 5", "\"NaN\"", "yesterday", "quote"} {
		if !strings.Contains(told, want) {
			t.Errorf("%q is not told in\n%s", want, told)
		}
	}
	for text, want := range map[string]string{
		"": "EOF", "a,b\n1,2\n": "no column run", "run,counts\na,true\n": "no column such as", "run,run,counts,period_s\n": "twice",
	} {
		_, _, err := Read(strings.NewReader(text))
		if !errors.Is(err, ErrForeign) || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add("run;counts;period_s;u_period_s\na;true;0,6;0,1\n")
	f.Fuzz(func(t *testing.T, text string) {
		all, _, err := Read(strings.NewReader(text))
		if err != nil {
			return
		}
		for _, k := range all {
			for _, r := range k.Trials {
				for _, key := range quantities {
					if e := r.Quantity(key); e != nil && !(e.U >= 0 && e.Value-e.Value == 0) {
						t.Fatalf("%s = %+v", key, e)
					}
				}
			}
		}
	})
}
