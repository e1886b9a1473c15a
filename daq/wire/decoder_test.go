package wire

import (
	"fmt"
	"reflect"
	"strings"
	"testing"
)

var sampleFields = []string{"seq", "t_us", "echo_us", "load_counts", "air_centi_C"}

const sampleLine = "1042,5210034,3171,-184223,2140*16"

func newDecoder(t testing.TB, o Options) *Decoder {
	t.Helper()
	d, err := NewDecoder(o)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// sealed returns body with its checksum, by the definition and not by our code.
func sealed(body string) string {
	sum := 0
	for _, c := range []byte(body) {
		sum ^= int(c)
	}
	return fmt.Sprintf("%s*%02X", body, sum)
}

func reading(seq, us uint32, values map[Column]float64) Reading {
	r := Reading{Seq: seq, DeviceUs: us}
	r.Set(DeviceUs, float64(us))
	for c, v := range values {
		r.Set(c, v)
	}
	return r
}

func TestAccepted(t *testing.T) {
	for _, c := range []struct {
		name, fields, line string
		want               Reading
	}{
		{"sample", "seq,t_us,echo_us,load_counts,air_centi_C", sampleLine,
			reading(1042, 5210034, map[Column]float64{Seq: 1042, EchoUs: 3171, LoadCounts: -184223, AirCentiC: 2140})},
		{"empty values", "seq,t_us,echo_us,load_counts,air_centi_C", "1043,5222540,,-184301,*12",
			reading(1043, 5222540, map[Column]float64{Seq: 1043, LoadCounts: -184301})},
		{"other order, all known", "air_humidity_pct,load_N,range_mm,t_us,seq", "45.5,-1.25e-3,812.5,4294967295,65535",
			reading(65535, 4294967295, map[Column]float64{Seq: 65535, AirHumidityPct: 45.5, LoadN: -1.25e-3, RangeMm: 812.5})},
		{"no seq", "t_us,range_mm", "7,8", reading(0, 7, map[Column]float64{RangeMm: 8})},
		{"time only", "t_us", "0", reading(0, 0, nil)},
		{"unknown columns", "t_us,tilt,state,lux,volt,spare,echo_us", "1,-2.5,busy,,4,5,6",
			reading(0, 1, map[Column]float64{Other1: -2.5, Other4: 4, EchoUs: 6})},
		{"unknown column out of range", "t_us,tilt", "1,1e99", reading(0, 1, nil)},
	} {
		d := newDecoder(t, Options{Fields: strings.Split(c.fields, ",")})
		var r Reading
		r.Set(LoadN, 99) // left from before: must not show
		if got := d.Decode([]byte(c.line), &r); got != Data || r != c.want {
			t.Errorf("%s: outcome %d (%s)\n got %+v\nwant %+v", c.name, got, d.LastReason(), r, c.want)
		}
	}
}

func TestRefused(t *testing.T) {
	strict := Options{Fields: sampleFields, RequireChecksum: true}
	lax := Options{Fields: sampleFields}
	long := strings.Repeat("1", MaxLine+1)
	for _, c := range []struct {
		name    string
		options Options
		line    string
		want    Reason
	}{
		{"nothing", lax, "", EmptyLine},
		{"257 bytes", lax, long, TooLong},
		{"257 bytes of note", lax, "#" + long[1:], TooLong},
		{"stray CR", lax, "1,2,3,4,5\r", NotASCII},
		{"binary", lax, "\x80\xff\x00", NotASCII},
		{"sum differs", lax, "1042,5210034,3171,-184223,2140*6B", BadChecksum},
		{"digit changed", strict, "1042,5210034,3171,-184233,2140*16", BadChecksum},
		{"sum torn", lax, "1042,5210034,3171,-184223,2140*1", BadChecksum},
		{"no sum", strict, "1042,5210034,3171,-184223,2140", NoChecksum},
		{"no names yet", Options{}, sampleLine, NoFields},
		{"a value less", lax, "1042,5210034,3171,-184223", WrongColumnCount},
		{"a value more", lax, "1042,5210034,3171,-184223,2140,", WrongColumnCount},
		{"one byte", lax, "1", WrongColumnCount},
		{"no time", lax, "1042,,3171,-184223,2140", NoStamp},
		{"no seq", lax, ",5210034,3171,-184223,2140", NoStamp},
		{"word", lax, "1042,5210034,far,-184223,2140", NotANumber},
		{"not a number by name", lax, "1042,5210034,nan,-184223,2140", NotANumber},
		{"space", lax, "1042, 5210034,3171,-184223,2140", NotANumber},
		{"negative time", lax, "1042,-5210034,3171,-184223,2140", NotANumber},
		{"fraction of seq", lax, "10.5,5210034,3171,-184223,2140", NotANumber},
		{"33 bits of time", lax, "1042,4294967296,3171,-184223,2140", OutOfRange},
		{"huge", lax, "1042,5210034,3171,1e16,2140", OutOfRange},
		{"no name", lax, "#fields", FieldsNone},
		{"no name, and none before", Options{}, "#fields ", FieldsNone},
		{"no name after space", lax, "#fields ", FieldsNone},
		{"17 names", lax, "#fields t_us,a,b,c,d,e,f,g,h,i,j,k,l,m,n,o,p", FieldsTooMany},
		{"empty name", lax, "#fields t_us,,echo_us", FieldsBadName},
		{"space in names", lax, "#fields t_us, echo_us", FieldsBadName},
		{"33 bytes of name", lax, "#fields t_us," + strings.Repeat("a", 33), FieldsBadName},
		{"known name twice", lax, "#fields t_us,echo_us,echo_us", FieldsTwice},
		{"unknown name twice", lax, "#fields t_us,tilt,tilt", FieldsTwice},
		{"no t_us", lax, "#fields seq,echo_us", FieldsNoTime},
		{"sum of names differs", lax, "#fields t_us,echo_us*00", BadChecksum},
		{"high bit in names", lax, "#fields t_us,echo_\xf5s", NotASCII},
	} {
		d := newDecoder(t, c.options)
		before := d.FieldNames()
		var r Reading
		if got := d.Decode([]byte(c.line), &r); got != Refused || d.LastReason() != c.want {
			t.Errorf("%s: outcome %d, reason %s; want it refused: %s", c.name, got, d.LastReason(), c.want)
		}
		want := Counts{}
		want.Refused[c.want] = 1
		if d.Counts() != want {
			t.Errorf("%s: counts %+v, want %+v", c.name, d.Counts(), want)
		}
		if !reflect.DeepEqual(d.FieldNames(), before) {
			t.Errorf("%s: names are %q now, were %q", c.name, d.FieldNames(), before)
		}
		if len(c.options.Fields) > 0 && d.Decode([]byte(sampleLine), &r) != Data {
			t.Errorf("%s: the line after it is refused too: %s", c.name, d.LastReason())
		}
	}
}

func TestCountsAddUp(t *testing.T) {
	d := newDecoder(t, Options{})
	var r Reading
	for _, line := range []string{"", "# hello", "1,2", "#fields t_us", "3", "4", "#virtual", "x", "#fields"} {
		d.Decode([]byte(line), &r)
	}
	n := d.Counts()
	want := Counts{Accepted: 2, Notes: 2, FieldLines: 1}
	want.Refused[EmptyLine], want.Refused[NoFields] = 1, 1
	want.Refused[NotANumber], want.Refused[FieldsNone] = 1, 1
	if n != want || n.Lines() != 9 || n.RefusedTotal() != 4 {
		t.Errorf("counts %+v, %d lines, %d refused; want %+v, 9, 4", n, n.Lines(), n.RefusedTotal(), want)
	}
}

func TestCountedLines(t *testing.T) {
	d := newDecoder(t, Options{Fields: []string{"t_us"}})
	var r Reading
	for _, c := range []struct {
		line string
		seq  uint32
	}{{"10", 0}, {"20", 1}, {"# note", 0}, {"lost", 0}, {"", 0}, {"30", 3}} {
		if d.Decode([]byte(c.line), &r) == Data && r.Seq != c.seq {
			t.Errorf("line %q has number %d, want %d", c.line, r.Seq, c.seq)
		}
	}
	if d.Reset(); d.Decode([]byte("40"), &r) != Data || r.Seq != 0 || r.Has(Seq) {
		t.Errorf("first line after Reset has number %d, has seq: %t; want 0, false", r.Seq, r.Has(Seq))
	}
}

func TestReasonWords(t *testing.T) {
	seen := map[string]bool{}
	for r := range ReasonCount {
		w := r.String()
		if w == "" || seen[w] || strings.Trim(w, "abcdefghijklmnopqrstuvwxyz-") != "" {
			t.Errorf("reason %d has the word %q: want one of its own, of lower case letters and hyphens", r, w)
		}
		seen[w] = true
	}
}
