package series

import (
	"errors"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"joulewell/energy/slip"
	"joulewell/energy/worksheet"
)

// A trial on the list, and a stage to go on with.
func withTrial(t *testing.T) (*stage, Trial) {
	s := newStage(t, tamar())
	s.arm(five, "S-4")
	s.play(6 * time.Second)
	return s, s.listed(1)[0]
}

func TestOverruleAndRelabel(t *testing.T) {
	s, x := withTrial(t)
	was := s.View()
	if err := s.Overrule(x.Run, 0, false); err != nil {
		t.Fatal(err)
	}
	if err := s.Relabel(x.Run, "S-5"); err != nil {
		t.Fatal(err)
	}
	v := s.View()
	if r := v.Trials[0]; r.Row.Counts || !r.Row.Overruled || r.Group != "S-5" || v.Revision <= was.Revision {
		t.Errorf("%+v", v)
	}
	if !was.Trials[0].Row.Counts {
		t.Error("a view has changed after it was given out")
	}
	if tally := s.Tally(); tally["left_out"] != 1 || tally["counted"] != 0 {
		t.Errorf("tally %v", tally)
	}
	for _, err := range []error{s.Overrule(x.Run, 1, true), s.Overrule("nowhere", 0, true), s.Overrule(x.Run, -1, true), s.Relabel("nowhere", "")} {
		if !errors.Is(err, ErrNoTrial) {
			t.Errorf("a trial that is not there: %v", err)
		}
	}
	for _, label := range []string{"=1+1", "a\nb", strings.Repeat("x", 61), "\xff"} {
		if err := s.Group(label); !errors.Is(err, ErrGroup) {
			t.Errorf("label %q: %v", label, err)
		}
	}
	for _, r := range []int{-1, 1, 2} {
		rule := five
		rule.Cycles = r
		if err := s.Arm(rule, ""); !errors.Is(err, ErrRule) {
			t.Errorf("over after %d cycles: %v", r, err)
		}
	}
	again := newStageInAfter(s)
	if r := again.View().Trials[0]; r.Row.Counts || !r.Row.Overruled || r.Group != "S-5" {
		t.Errorf("after a restart: %+v", r)
	}
}

func newStageInAfter(s *stage) *stage {
	s.stop()
	return newStageIn(s.t, tamar(), s.dir)
}

// answers are the right figures of a trial's sheet.
func answers(t *testing.T, s *Series, a Asked) map[worksheet.ID]string {
	t.Helper()
	_, key, err := s.Worksheet(a)
	if err != nil {
		t.Fatal(err)
	}
	figures := map[worksheet.ID]string{}
	for _, i := range key.Items {
		figures[i.ID] = i.Printed + " " + i.Unit
	}
	figures[worksheet.Explanation] = "air, and the spring"
	return figures
}

// What is asked for is handed in blank by blank; the last one opens, right or wrong.
func TestHandInOpens(t *testing.T) {
	s, x := withTrial(t)
	asked := Asked{Run: x.Run, Ask: []worksheet.ID{worksheet.StartTotal, worksheet.EndTotal, worksheet.Lost, worksheet.Explanation}, Digits: 5}
	if err := s.Seal(asked); err != nil || !s.Sealed() {
		t.Fatal(err)
	}
	right := answers(t, s.Series, asked)
	report, err := s.HandIn(HandIn{Group: "north", Figures: right}) // of the trial that is sealed
	if err != nil {
		t.Fatal(err)
	}
	if report.Run != x.Run || report.Index != x.Index || report.Group != "north" {
		t.Errorf("held against trial %d of %q for %q, want %d of %q", report.Index, report.Run, report.Group, x.Index, x.Run)
	}
	for _, m := range report.Marks {
		if m.Verdict != slip.Right && m.Verdict != slip.Words {
			t.Errorf("%s: %s", m.ID, m.Verdict)
		}
	}
	if s.Sealed() {
		t.Error("a sheet with every blank filled does not open")
	}

	if err := s.Seal(asked); err != nil {
		t.Fatal(err)
	}
	part := maps.Clone(right)
	delete(part, worksheet.Explanation)
	if _, err := s.HandIn(HandIn{Run: x.Run, Figures: part}); err != nil || !s.Sealed() {
		t.Errorf("one blank left empty: %v, sealed %t", err, s.Sealed())
	}
	part[worksheet.Lost] = "0.1"
	var wrong *slip.FigureError
	if _, err := s.HandIn(HandIn{Run: x.Run, Figures: part}); !errors.As(err, &wrong) || !s.Sealed() {
		t.Errorf("no unit: %v", err)
	}
	part[worksheet.Lost], part[worksheet.Explanation] = "17 J", "-"
	if report, err = s.HandIn(HandIn{Run: x.Run, Figures: part}); err != nil || s.Sealed() {
		t.Errorf("a wrong figure: %v, sealed %t", err, s.Sealed())
	}
	for _, m := range report.Marks {
		if m.ID == worksheet.Lost && m.Verdict == slip.Right {
			t.Error("17 J lost are right")
		}
	}
	// One file for the group that was named, one for that of the trial.
	files := s.files("hand-ins/*.json")
	if len(files) != 2 {
		t.Errorf("kept %q", files)
	}
	for _, name := range files {
		text, err := os.ReadFile(filepath.Join(s.dir, handInFolder, filepath.Base(name)))
		if err != nil || !strings.Contains(string(text), `"at": "2026-03-04T19:30:00Z"`) {
			t.Errorf("%s is not dated by the clock it was given: %v", name, err)
		}
	}
}

// The seal outlives the program, names what it is about, and opens by hand. A hand-in of
// another trial does not open it.
func TestSealOutlives(t *testing.T) {
	s, x := withTrial(t)
	asked := Asked{Run: x.Run, Ask: []worksheet.ID{worksheet.StartTotal}}
	if err := s.Seal(asked); err != nil {
		t.Fatal(err)
	}
	again := newStageInAfter(s)
	if v := again.View(); !v.Sealed || v.Asked.Run != x.Run || !slices.Equal(v.Asked.Ask, asked.Ask) {
		t.Errorf("after a restart: %+v", v)
	}
	again.arm(five, "")
	again.play(6 * time.Second)
	other := again.listed(2)[1]
	if _, err := again.HandIn(HandIn{Run: other.Run, Figures: map[worksheet.ID]string{worksheet.StartTotal: "2 J"}}); err != nil || !again.Sealed() {
		t.Errorf("a hand-in of another trial: %v, sealed %t", err, again.Sealed())
	}
	again.Unseal()
	if again.Sealed() || newStageInAfter(again).Sealed() {
		t.Error("opened by hand, it is sealed")
	}
	for _, bad := range []Asked{{Run: "nowhere"}, {Ask: []worksheet.ID{"treasure"}}, {Print: []worksheet.ID{"speed"}}, {Digits: 9}} {
		if err := again.Seal(bad); err == nil || again.Sealed() {
			t.Errorf("%+v is sealed: %v", bad, err)
		}
	}
}

// What cannot be read counts as sealed, and says so.
func TestSpoiltMemoryIsSealed(t *testing.T) {
	for _, text := range []string{"{", `{"version":9}`, ""} {
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, memoryFile), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		s := newStageIn(t, tamar(), dir)
		if v := s.View(); !v.Sealed || !strings.Contains(v.Trouble, "sealed until somebody opens") {
			t.Errorf("%q: %+v", text, v)
		}
		s.Unseal()
		if newStageInAfter(s).Sealed() {
			t.Errorf("%q cannot be opened", text)
		}
	}
}

// Hand-ins are bounded in number and size.
func TestHandInsAreBounded(t *testing.T) {
	s, x := withTrial(t)
	in := HandIn{Run: x.Run, Figures: map[worksheet.ID]string{worksheet.StartTotal: "2 J"}}
	folder := filepath.Join(s.dir, handInFolder)
	if err := os.Mkdir(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	for i := range mostGroups - 1 { // of groups before
		if err := os.WriteFile(filepath.Join(folder, fileOf(strings.Repeat("h", i))), []byte("{}"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for i, group := range []string{"ga", "gb", "gc"} {
		in.Group = group
		if _, err := s.HandIn(in); (err != nil) != (i > 0) || err != nil && !errors.Is(err, ErrHandIn) {
			t.Fatalf("group %d: %v", mostGroups-1+i, err)
		}
	}
	in.Group = "ga"
	if _, err := s.HandIn(in); err != nil {
		t.Errorf("a group that has handed in before: %v", err)
	}
	in.Figures = map[worksheet.ID]string{worksheet.Explanation: strings.Repeat("x", mostText+1)}
	if _, err := s.HandIn(in); !errors.Is(err, ErrHandIn) {
		t.Errorf("a long answer: %v", err)
	}
}

// What changed after a mark is told by it: a trial that was judged, left out or labelled;
// all of them after the seal, and to one who was here before the program was started anew.
func TestSince(t *testing.T) {
	s := newStage(t, repeating(tamar(), 12))
	s.arm(five, "")
	s.play(6 * time.Second)
	s.listed(1)
	hold := func(what, mark string, want []int, known bool) string {
		t.Helper()
		v := s.View()
		if at, ok := v.Since(mark); !slices.Equal(at, want) || ok != known {
			t.Errorf("%s: %v, %t", what, at, ok)
		}
		return v.Mark()
	}
	mark := hold("no mark", "", []int{0}, false)
	s.play(12 * time.Second)
	run := s.listed(2)[0].Run
	mark = hold("judged", mark, []int{1}, true)
	if err := s.Overrule(run, 0, false); err != nil {
		t.Fatal(err)
	}
	mark = hold("left out", mark, []int{0}, true)
	if err := s.Relabel(run, "S-5"); err != nil {
		t.Fatal(err)
	}
	mark = hold("labelled", mark, []int{0}, true)
	if err := s.Group("S-6"); err != nil {
		t.Fatal(err)
	}
	mark = hold("nothing of a trial", mark, nil, true)
	if err := s.Seal(Asked{}); err != nil {
		t.Fatal(err)
	}
	sealed := hold("sealed", mark, []int{0, 1}, false)
	s.Unseal()
	mark = hold("opened", sealed, []int{0, 1}, false)
	s.Series.mu.Lock()
	s.add(s.lists[0].Kept) // as after being judged anew
	s.Series.mu.Unlock()
	mark = hold("judged anew", mark, []int{0, 1}, false)
	s = newStageInAfter(s)
	hold("started anew", mark, []int{0, 1}, false)
}
