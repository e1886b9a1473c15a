package collect_test

import (
	"strings"
	"testing"

	"joulewell/daq/trials"
	"joulewell/daq/trials/collect"
	"joulewell/daq/trials/kept"
)

// Each folder as it is now: what is kept, what was not judged, what cannot be read. While
// a bench is sealed none of its trials leaves its folder, nor when nobody can say.
func TestBenches(t *testing.T) {
	tamar, severn := folder(t, "judged", "not"), folder(t)
	row := trials.Row{Run: "judged.csv", Bench: "Tamar", Counts: true}
	if err := kept.Write(tamar, kept.Kept{Run: "judged", Trials: []trials.Row{row}}); err != nil {
		t.Fatal(err)
	}
	put(t, tamar, "torn.trials.json", "{")
	b, err := collect.OpenBenches([]string{tamar.Name(), severn.Name(), tamar.Name() + "/."})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	all := b.Look()
	if len(all) != 2 {
		t.Fatalf("%d benches, want 2: one was named twice", len(all))
	}
	if a := all[0]; a.Name != "Tamar" || a.Runs != 1 || a.Unjudged != 1 || len(a.Kept) != 1 || len(a.Troubles) != 1 || a.Sealed {
		t.Errorf("%+v", a)
	}
	if a := all[1]; a.Name == "" || strings.ContainsAny(a.Name, "/\\") || a.Runs != 0 || len(a.Kept) != 0 || a.Troubles == nil {
		t.Errorf("%+v", a)
	}
	for _, memory := range []string{`{"version":1,"sealed":true}`, `{`, `{"version":9}`} {
		put(t, tamar, "series.json", memory)
		if a := b.Look()[0]; !a.Sealed || len(a.Kept) != 0 || a.Runs != 1 {
			t.Errorf("%s: %+v", memory, a)
		}
	}
	put(t, tamar, "series.json", `{"version":1,"sealed":false}`)
	if a := b.Look()[0]; a.Sealed || len(a.Kept) != 1 {
		t.Errorf("%+v", a)
	}
	if _, err := collect.OpenBenches([]string{tamar.Name(), "/nowhere/at all"}); err == nil || !strings.Contains(err.Error(), "nowhere") {
		t.Errorf("%v", err)
	}
}
