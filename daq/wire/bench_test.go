package wire

import (
	"bytes"
	"strconv"
	"testing"
)

func TestNothingAllocates(t *testing.T) {
	d := newDecoder(t, Options{Fields: sampleFields})
	buffer := make([]byte, 0, MaxLine)
	columns := []Column{Seq, DeviceUs, EchoUs, LoadCounts, AirCentiC}
	for name, line := range map[string]string{
		"data":        sampleLine,
		"many digits": "1042,5210034,31.71000000000000000001,-1.8422300000000000000000000e5,2140",
		"refused":     "1042,5210034,3171,-184223,2140*17",
		"note":        "#virtual bench Tamar",
		"same fields": "#fields seq,t_us,echo_us,load_counts,air_centi_C",
	} {
		var r Reading
		b := []byte(line)
		if n := testing.AllocsPerRun(100, func() { d.Decode(b, &r) }); n != 0 {
			t.Errorf("%s: %v allocations a line", name, n)
		}
	}
	var r Reading
	d.Decode([]byte(sampleLine), &r)
	if n := testing.AllocsPerRun(100, func() { buffer = AppendReading(buffer[:0], columns, &r) }); n != 0 {
		t.Errorf("AppendReading: %v allocations a line", n)
	}
}

// BenchmarkDecode: the decoder on the sample line.
func BenchmarkDecode(b *testing.B) {
	d := newDecoder(b, Options{Fields: sampleFields, RequireChecksum: true})
	line := []byte(sampleLine)
	var r Reading
	b.ReportAllocs()
	for b.Loop() {
		if d.Decode(line, &r) != Data {
			b.Fatal(d.LastReason())
		}
	}
}

// BenchmarkDecodeFloor: the least that any decoder must do, one look at each byte.
func BenchmarkDecodeFloor(b *testing.B) {
	line := []byte(sampleLine[:len(sampleLine)-3])
	for b.Loop() {
		if Checksum(line) != 0x16 {
			b.Fatal("wrong sum")
		}
	}
}

// BenchmarkDecodePlain: the plain way with the standard library, without most checks.
func BenchmarkDecodePlain(b *testing.B) {
	line := []byte(sampleLine)
	var values [5]float64
	b.ReportAllocs()
	for b.Loop() {
		body, sum, _ := bytes.Cut(line, []byte("*"))
		want, err := strconv.ParseUint(string(sum), 16, 8)
		if err != nil || byte(want) != Checksum(body) {
			b.Fatal("wrong sum")
		}
		for i, field := range bytes.Split(body, comma) {
			if values[i], err = strconv.ParseFloat(string(field), 64); err != nil {
				b.Fatal(err)
			}
		}
	}
}

// stream is a second of a busy device: 100 lines.
var stream = bytes.Repeat([]byte(sampleLine+"\n"), 100)

// BenchmarkSplit: the splitter on chunks of 64 bytes, per stream of 100 lines.
func BenchmarkSplit(b *testing.B) {
	var s Splitter
	b.SetBytes(int64(len(stream)))
	for b.Loop() {
		for rest := stream; len(rest) > 0; {
			n := min(64, len(rest))
			s.Feed(rest[:n])
			for _, _, ok := s.Next(); ok; _, _, ok = s.Next() {
			}
			rest = rest[n:]
		}
	}
}

// BenchmarkSplitFloor: copying the same bytes once.
func BenchmarkSplitFloor(b *testing.B) {
	into := make([]byte, 64)
	b.SetBytes(int64(len(stream)))
	for b.Loop() {
		for rest := stream; len(rest) > 0; {
			rest = rest[copy(into, rest):]
		}
	}
}

func BenchmarkAppendReading(b *testing.B) {
	d := newDecoder(b, Options{Fields: sampleFields})
	columns := []Column{Seq, DeviceUs, EchoUs, LoadCounts, AirCentiC}
	buffer := make([]byte, 0, MaxLine)
	var r Reading
	d.Decode([]byte(sampleLine), &r)
	b.ReportAllocs()
	for b.Loop() {
		buffer = AppendReading(buffer[:0], columns, &r)
	}
}
