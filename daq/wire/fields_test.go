package wire

import (
	"reflect"
	"strings"
	"testing"
)

func TestFieldsChangeAtAnyTime(t *testing.T) {
	d := newDecoder(t, Options{Fields: []string{"t_us", "range_mm"}})
	var r Reading
	step := func(line string, want Outcome) {
		t.Helper()
		if got := d.Decode([]byte(line), &r); got != want {
			t.Fatalf("%q: outcome %d, want %d (%s)", line, got, want, d.LastReason())
		}
	}
	step("1,2", Data)
	if !r.Has(RangeMm) || r.Values[RangeMm] != 2 {
		t.Errorf("configured names not in force: %+v", r)
	}
	step(sealed("#fields load_N,t_us,tilt,seq,lux"), Fields)
	step("3,4,5,6,", Data)
	want := reading(6, 4, map[Column]float64{Seq: 6, LoadN: 3, Other1: 5})
	if r != want {
		t.Errorf("after new names: %+v, want %+v", r, want)
	}
	if got := d.OtherNames(); got != [4]string{"tilt", "lux"} {
		t.Errorf("other names %q", got)
	}
	step("#fields load_N,t_us,tilt,seq,lux,spare", Fields) // one more: not the same names
	step("3,4,5,6,7,8", Data)
	if !r.Has(Other3) {
		t.Errorf("an added name is not in force: %q", d.FieldNames())
	}
	step("#fields load_N,t_us,tilt,seq,lux", Fields)
	held := d.FieldNames()
	step("#fields t_us,lux", Fields) // no checksum: taken
	if got := d.OtherNames(); got != [4]string{"lux"} {
		t.Errorf("other names %q after a change", got)
	}
	if !reflect.DeepEqual(held, []string{"load_N", "t_us", "tilt", "seq", "lux"}) {
		t.Errorf("names handed out before have changed: %q", held)
	}
	d.Reset()
	if got := d.FieldNames(); !reflect.DeepEqual(got, []string{"t_us", "range_mm"}) {
		t.Errorf("names after Reset: %q, want the configured ones", got)
	}
	if got := d.OtherNames(); got != [4]string{} {
		t.Errorf("other names after Reset: %q", got)
	}
}

func TestSixteenNames(t *testing.T) {
	names := strings.Split("t_us,a,b,c,d,e,f,g,h,i,j,k,l,m,n,"+strings.Repeat("Z", MaxName), ",")
	d := newDecoder(t, Options{Fields: names})
	var r Reading
	if d.Decode([]byte("0,1,2,3,4,5,6,7,8,9,10,11,12,13,14,15"), &r) != Data {
		t.Fatalf("refused: %s", d.LastReason())
	}
	if r != reading(0, 0, map[Column]float64{Other1: 1, Other2: 2, Other3: 3, Other4: 4}) {
		t.Errorf("got %+v", r)
	}
}

func TestConfiguredFieldsRefused(t *testing.T) {
	for name, fields := range map[string][]string{
		FieldsNoTime.String():  {"seq", "echo_us"},
		FieldsTwice.String():   {"t_us", "t_us"},
		FieldsBadName.String(): {"t_us", "echo us"},
		FieldsTooMany.String(): strings.Split("t_us,a,b,c,d,e,f,g,h,i,j,k,l,m,n,o,p", ","),
	} {
		if _, err := NewDecoder(Options{Fields: fields}); err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("NewDecoder(%q): %v; want it refused: %s", fields, err, name)
		}
	}
}

func TestNotes(t *testing.T) {
	d := newDecoder(t, Options{})
	var r Reading
	for _, c := range []struct {
		line, note string
		virtual    bool
	}{
		{"#", "", false},
		{"# tare done", " tare done", false},
		{"#fieldset", "fieldset", false},
		{"#virtually nothing", "virtually nothing", false},
		{"#air 21 \xc2\xb0C\t*zz\r", "air 21 ??C?*zz?", false},
		{"#virtual bench Tamar", "virtual bench Tamar", true},
		{"#still here", "still here", true},
		{"#" + strings.Repeat("n", MaxLine-1), strings.Repeat("n", MaxLine-1), true},
	} {
		if got := d.Decode([]byte(c.line), &r); got != Note || d.LastNote() != c.note || d.Virtual() != c.virtual {
			t.Errorf("%q: outcome %d, note %q, virtual %t; want %q, %t", c.line, got, d.LastNote(), d.Virtual(), c.note, c.virtual)
		}
	}
	if d.Reset(); d.Virtual() || d.LastNote() != "" {
		t.Errorf("after Reset: virtual %t, note %q", d.Virtual(), d.LastNote())
	}
	if d.Decode([]byte("#virtual"), &r); !d.Virtual() {
		t.Error("a bare #virtual is not taken")
	}
}

func TestColumns(t *testing.T) {
	known := Columns()
	if len(known) != 8 {
		t.Fatalf("%d known columns, want 8", len(known))
	}
	for i, c := range known {
		if got, ok := ColumnByName(ColumnName(c)); !ok || got != c || int(c) != i {
			t.Errorf("column %d: name %q leads to %d, %t", c, ColumnName(c), got, ok)
		}
	}
	for _, name := range []string{"", "SEQ", "other_1", "load_n"} {
		if c, ok := ColumnByName(name); ok {
			t.Errorf("ColumnByName(%q) = %d, want it unknown", name, c)
		}
	}
}
