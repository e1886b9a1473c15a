package forget_test

import (
	"bytes"
	"encoding/json"
	"io/fs"
	"os"
	"reflect"
	"runtime"
	"strings"
	"testing"
	"time"

	"joulewell/daq/forget"
	"joulewell/daq/frame"
	"joulewell/daq/runfile"
	"joulewell/daq/setup"
	"joulewell/daq/trials"
	"joulewell/daq/trials/kept"
)

const (
	note  = "typed by the group at the \"window\", grün ☂ note"
	label = "table nine, window"
)

// folder holds two runs with notes and labels, as the program writes them.
func folder(t *testing.T) *os.Root {
	t.Helper()
	dir, err := os.OpenRoot(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { dir.Close() })
	for _, run := range []string{"one", "two"} {
		r := record(t, dir, run)
		if err := r.Close(runfile.Meta{Created: time.Unix(1.8e9, 0), Note: note, Setup: setup.Bench{Name: "Tamar"}}); err != nil {
			t.Fatal(err)
		}
		k := kept.Kept{Run: run, Group: label, Trials: []trials.Row{{Run: run, Bench: "Tamar", Counts: true}}}
		if err := kept.Write(dir, k); err != nil {
			t.Fatal(err)
		}
	}
	put(t, dir, "series.json", `{"version":1, "unjudged":[{"run":"one","group":"`+label+`"},{"group":""}],"sealed":false}`)
	put(t, dir, "one.csv-metadata.json.tmp", `{"note": "`+label)
	if err := dir.Mkdir("hand-ins", 0o755); err != nil {
		t.Fatal(err)
	}
	put(t, dir, "hand-ins/table-nine--window-12345678.json", `{"group":"`+label+`","sheets":[{"figures":{"E1":"`+note+`"}}]}`)
	return dir
}

func record(t *testing.T, dir *os.Root, run string) *runfile.Recorder {
	t.Helper()
	r, err := runfile.Create(dir, run, runfile.Meta{Note: note}, runfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i := range 3 {
		r.Append(&frame.Frame{T: int64(i) * 1e7, Epoch: 1})
	}
	return r
}

func put(t *testing.T, dir *os.Root, name, text string) {
	t.Helper()
	if err := dir.WriteFile(name, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// files returns what every file holds.
func files(t *testing.T, dir *os.Root) map[string][]byte {
	t.Helper()
	all := map[string][]byte{}
	err := fs.WalkDir(dir.FS(), ".", func(path string, e fs.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			all[path], err = dir.ReadFile(path)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// holds reports whether a text stands in a file, in any way that JSON writes it.
func holds(file []byte, text string) bool {
	quoted, _ := json.Marshal(text)
	inner := quoted[1 : len(quoted)-1]
	return bytes.Contains(file, []byte(text)) || bytes.Contains(file, inner) || bytes.Contains(file, []byte("window"))
}

// Nothing of notes and labels is left in any file of the folder; readings, and everything
// else that is known of the runs, are.
func TestNothingOfItRemains(t *testing.T) {
	dir := folder(t)
	before := files(t, dir)
	if !holds(before["one.csv-metadata.json"], note) || !holds(before["two.trials.json"], label) {
		t.Fatal("there is nothing to forget")
	}
	done, err := forget.Folder(dir)
	if err != nil {
		t.Fatal(err)
	}
	after := files(t, dir)
	for name, text := range after {
		if holds(text, note) || holds(text, label) || strings.Contains(name, "window") {
			t.Errorf("%s still holds it: %s", name, text)
		}
	}
	for _, d := range done {
		if d.Err != nil || d.Still {
			t.Errorf("%+v", d)
		}
	}
	if len(done) != 7 || len(after) != len(before)-2 {
		t.Errorf("%d files seen to, %d left of %d: %+v", len(done), len(after), len(before), done)
	}
	for _, run := range []string{"one", "two"} {
		if !bytes.Equal(after[run+".csv"], before[run+".csv"]) || len(after[run+".csv"]) == 0 {
			t.Errorf("the readings of %s changed", run)
		}
		for name, key := range map[string]string{run + ".csv-metadata.json": "https://joulewell.example/ns#note", run + ".trials.json": "group"} {
			was, is := object(t, before[name]), object(t, after[name])
			if is[key] != "" {
				t.Errorf("%s: %v", name, is[key])
			}
			was[key] = ""
			if !reflect.DeepEqual(was, is) {
				t.Errorf("%s: more than the text changed: %v, %v", name, was, is)
			}
		}
	}
	if again, err := forget.Folder(dir); err != nil || len(again) != 0 {
		t.Errorf("a second time: %+v, %v", again, err)
	}
	if all, err := runfile.List(dir); err != nil || len(all) != 2 || all[0].Trouble != "" || all[0].Note != "" {
		t.Errorf("%+v, %v", all, err)
	}
	if k, err := kept.Read(dir, "two"); err != nil || k.Group != "" || len(k.Trials) != 1 {
		t.Errorf("%+v, %v", k, err)
	}
}

func object(t *testing.T, text []byte) (o map[string]any) {
	t.Helper()
	if err := json.Unmarshal(text, &o); err != nil {
		t.Fatal(err)
	}
	return o
}

// While a run is recorded nothing is touched; nor while another program has the folder.
func TestRefusedWhileRecording(t *testing.T) {
	if runtime.GOOS != "linux" && runtime.GOOS != "darwin" {
		t.Skip("files are not locked on this system")
	}
	dir := folder(t)
	r := record(t, dir, "three")
	before := files(t, dir)
	if done, err := forget.Folder(dir); err == nil || !strings.Contains(err.Error(), "a run is being recorded") || len(done) != 0 {
		t.Errorf("%+v, %v", done, err)
	}
	if err := r.Close(runfile.Meta{Note: note}); err != nil {
		t.Fatal(err)
	}
	hold, err := runfile.Hold(dir)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := forget.Folder(dir); err == nil || !strings.Contains(err.Error(), "another joulewell") {
		t.Errorf("%v", err)
	}
	hold.Close()
	for name, text := range files(t, dir) {
		if old, was := before[name]; was && !strings.HasPrefix(name, "three") && !bytes.Equal(old, text) {
			t.Errorf("%s was touched", name)
		}
	}
}

// What cannot be read is told and left, and other programs' files are named, not touched.
func TestSpoiledAndForeignFiles(t *testing.T) {
	dir := folder(t)
	put(t, dir, "torn.trials.json", `{"group":"`+label)
	put(t, dir, "mark book.txt", "marks of "+label)
	put(t, dir, "miniseries.json", `{"group":"other"}`)
	done, err := forget.Folder(dir)
	if err != nil {
		t.Fatal(err)
	}
	told := map[string]forget.Done{}
	for _, d := range done {
		told[d.File] = d
	}
	if d := told["torn.trials.json"]; d.Err == nil || !strings.Contains(d.Err.Error(), "by hand") {
		t.Errorf("%+v", d)
	}
	if !told["mark book.txt"].Still {
		t.Errorf("%+v", done)
	}
	if _, touched := told["miniseries.json"]; touched || told["two.trials.json"].Taken != 1 {
		t.Errorf("%+v", done)
	}
}
