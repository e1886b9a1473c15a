package collect_test

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"joulewell/daq/runfile"
	"joulewell/daq/trials"
	"joulewell/daq/trials/collect"
	"joulewell/daq/trials/kept"
	"joulewell/daq/trials/rehearsal"
	"joulewell/daq/trials/tidy"
)

var rule = trials.Rule{Cycles: 6}

// folder is a new folder with a run of one trial for each name.
func folder(t *testing.T, runs ...string) *os.Root {
	t.Helper()
	dir, err := os.OpenRoot(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { dir.Close() })
	for i, run := range runs {
		at := time.Date(2026, 11, 25, 18, i, 0, 0, time.UTC)
		if err := rehearsal.Record(dir, run, "", rehearsal.Bench("Tamar", uint64(i+1), nil), 6, at); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func put(t *testing.T, dir *os.Root, name, text string) {
	t.Helper()
	if err := dir.WriteFile(name, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func get(t *testing.T, dir *os.Root, name string) string {
	t.Helper()
	text, err := dir.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func told(f collect.Found) string {
	var all []string
	for _, trouble := range f.Troubles {
		all = append(all, trouble.Error())
	}
	return strings.Join(all, "\n")
}

func runs(f collect.Found) string {
	var all []string
	for _, k := range f.Kept {
		all = append(all, k.Run)
	}
	return strings.Join(all, " | ")
}

// What can lie in a folder of runs: each bad thing is told by its name, the good runs come
// all the same, in order of time.
func TestFolderAsItComes(t *testing.T) {
	dir := folder(t, "whole", "cut", "edited", "torn", "renamed", "ödd näme, 'so' & =so")
	line := func(text string, n int) int { // where line n begins
		at := 0
		for range n {
			at += strings.IndexByte(text[at:], '\n') + 1
		}
		return at
	}
	text := get(t, dir, "cut.csv")
	put(t, dir, "cut.csv", text[:line(text, strings.Count(text, "\n")-50)])
	text = get(t, dir, "edited.csv")
	at := line(text, 201)
	put(t, dir, "edited.csv", text[:at]+strings.Replace(text[at:], ",-", ",", 1))
	text = get(t, dir, "torn.csv")
	put(t, dir, "torn.csv", text[:line(text, 100)+20])
	if err := dir.Rename("renamed.csv", "other.csv"); err != nil {
		t.Fatal(err)
	}
	put(t, dir, "shopping.csv", "what,how many\nbread,2\n")
	put(t, dir, "empty.csv", "")
	put(t, dir, "bytes.csv", "\x00\xff\xfe,\n")
	put(t, dir, "open.csv.part", text[:500])
	put(t, dir, "notes.txt", "of no concern")
	if err := dir.Mkdir("folder.csv", 0o755); err != nil {
		t.Fatal(err)
	}
	found := collect.Trials([]string{dir.Name()}, collect.Options{Rule: rule})
	if got, want := runs(found), "whole | cut | edited | ödd näme, 'so' & =so"; got != want {
		t.Errorf("runs %q, want %q", got, want)
	}
	for _, k := range found.Kept {
		if len(k.Trials) != 1 || k.Trials[0].Bench != "Tamar" || !k.Virtual {
			t.Errorf("%s: %+v", k.Run, k.Trials)
		}
	}
	all := told(found)
	for _, want := range []string{
		"cut.csv: it holds ", "rows were taken out or added since",
		"edited.csv: ", "do not follow from their own readings",
		"torn.csv: ", "other.csv: other.csv-metadata.json is missing", "was one of the two renamed?",
		"shopping.csv: it is neither a run file nor a table of trials", "empty.csv: it is neither", "bytes.csv: it is neither",
		"open.csv.part: a run that is being recorded",
	} {
		if !strings.Contains(all, want) {
			t.Errorf("%q is not told in\n%s", want, all)
		}
	}
	if len(found.Troubles) != 8 {
		t.Errorf("%d troubles, want 8:\n%s", len(found.Troubles), all)
	}
}

func TestNothingThere(t *testing.T) {
	dir := folder(t)
	found := collect.Trials([]string{dir.Name(), filepath.Join(dir.Name(), "none"), filepath.Join(dir.Name(), "none.csv")}, collect.Options{})
	if all := told(found); len(found.Troubles) != 3 || !strings.Contains(all, "there is no run in this folder") || !strings.Contains(all, "none.csv: no such file") {
		t.Errorf("%s", all)
	}
}

// What is kept is read and not worked out; with Again it is worked out, and what people
// said stays. Only Keep writes.
func TestKeptIsRead(t *testing.T) {
	dir := folder(t, "run")
	o := collect.Options{Rule: rule}
	first := collect.Trials([]string{dir.Name()}, o)
	if _, err := kept.Read(dir, "run"); err == nil {
		t.Error("something was kept unasked")
	}
	k := first.Kept[0]
	k.Group = "red"
	k.Trials[0].CycleLoss.Value = 99
	k.Trials[0].Overrule(!k.Trials[0].Counts)
	if err := kept.Write(dir, k); err != nil {
		t.Fatal(err)
	}
	// Named twice and in its folder, a run counts once.
	read := collect.Trials([]string{dir.Name(), filepath.Join(dir.Name(), "run.csv")}, o)
	if len(read.Kept) != 1 || read.Kept[0].Trials[0].CycleLoss.Value != 99 || len(read.Troubles) != 0 {
		t.Errorf("%+v\n%s", read.Kept, told(read))
	}
	o.Again, o.Keep = true, true
	hold, err := runfile.Hold(dir)
	if err != nil {
		t.Fatal(err)
	}
	if f := collect.Trials([]string{dir.Name()}, o); runtime.GOOS == "linux" && !strings.Contains(told(f), "were not kept: another joulewell") {
		t.Errorf("a daemon's folder was written to: %s", told(f))
	}
	hold.Close()
	again := collect.Trials([]string{dir.Name()}, o)
	row := again.Kept[0].Trials[0]
	if row.CycleLoss.Value == 99 || !row.Overruled || row.Counts != k.Trials[0].Counts || again.Kept[0].Group != "red" {
		t.Errorf("%+v", again.Kept)
	}
	if now, err := kept.Read(dir, "run"); err != nil || now.Trials[0].CycleLoss.Value == 99 {
		t.Errorf("%+v, %v", now, err)
	}
	// A run changed since is told; one that is gone leaves its trials.
	later := time.Now().Add(time.Hour)
	if err := os.Chtimes(filepath.Join(dir.Name(), "run.csv"), later, later); err != nil {
		t.Fatal(err)
	}
	o.Again, o.Keep = false, false
	if f := collect.Trials([]string{dir.Name()}, o); !strings.Contains(told(f), "changed after its trials were judged") || len(f.Kept) != 1 {
		t.Errorf("%s", told(f))
	}
	if err := dir.Remove("run.csv"); err != nil {
		t.Fatal(err)
	}
	if f := collect.Trials([]string{dir.Name()}, o); !strings.Contains(told(f), "is not in the folder") || len(f.Kept) != 1 {
		t.Errorf("%s", told(f))
	}
	put(t, dir, "run.trials.json", "{")
	if f := collect.Trials([]string{dir.Name()}, o); len(f.Kept) != 0 || len(f.Troubles) != 1 || !f.Troubles[0].Lost {
		t.Errorf("%+v", f)
	}
}

// A table of trials counts as well as the runs that it came from.
func TestTableOfTrials(t *testing.T) {
	dir := folder(t, "run")
	found := collect.Trials([]string{dir.Name()}, collect.Options{Rule: rule})
	file, err := dir.Create("trials.csv")
	if err != nil {
		t.Fatal(err)
	}
	if err := tidy.Write(file, found.Kept); err != nil {
		t.Fatal(err)
	}
	file.WriteString("b;c\n")
	file.Close()
	read := collect.Trials([]string{filepath.Join(dir.Name(), "trials.csv")}, collect.Options{})
	if len(read.Kept) != 1 || read.Kept[0].Run != "run" || !strings.Contains(told(read), "line 3: it has 1 fields") {
		t.Errorf("%+v\n%s", read.Kept, told(read))
	}
	both := collect.Trials([]string{dir.Name()}, collect.Options{Rule: rule, Software: "test"})
	if len(both.Kept) != 1 || !strings.Contains(told(both), "1 of its 1 runs were found already") {
		t.Errorf("%+v\n%s", both.Kept, told(both))
	}
}
