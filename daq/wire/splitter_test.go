package wire

import (
	"bytes"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// cutLine is a line as a Splitter gave it, copied.
type cutLine struct {
	text string
	over bool
}

// drain feeds the chunks one by one and returns all lines.
func drain(s *Splitter, chunks ...[]byte) []cutLine {
	var lines []cutLine
	for _, chunk := range chunks {
		s.Feed(chunk)
		for line, over, ok := s.Next(); ok; line, over, ok = s.Next() {
			lines = append(lines, cutLine{string(line), over})
		}
	}
	return lines
}

// plainLines is the plain way: hold everything, then cut.
func plainLines(stream []byte, afterOpen bool) []cutLine {
	parts := bytes.Split(stream, []byte("\n"))
	if afterOpen {
		parts = parts[1:]
	}
	var lines []cutLine
	for i, p := range parts {
		switch torn := i == len(parts)-1; {
		case len(p) > MaxLine:
			lines = append(lines, cutLine{string(p[:MaxLine+1]), true})
		case !torn:
			lines = append(lines, cutLine{string(bytes.TrimSuffix(p, []byte("\r"))), false})
		}
	}
	return lines
}

func equalLines(a, b []cutLine) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

func TestSplitterLines(t *testing.T) {
	full := strings.Repeat("x", MaxLine)
	for _, c := range []struct {
		name, stream string
		want         []cutLine
	}{
		{"LF", "a\nb\n", []cutLine{{"a", false}, {"b", false}}},
		{"CR LF", "a\r\nb\r\n", []cutLine{{"a", false}, {"b", false}}},
		{"one CR only", "a\r\r\n\rb\n", []cutLine{{"a\r", false}, {"\rb", false}}},
		{"empty lines", "\n\r\na\n", []cutLine{{"", false}, {"", false}, {"a", false}}},
		{"unfinished", "a\nb", []cutLine{{"a", false}}},
		{"256 bytes", full + "\n", []cutLine{{full, false}}},
		{"256 bytes with CR", full[1:] + "\r\n", []cutLine{{full[1:], false}}},
		{"257 bytes", full + "y\nb\n", []cutLine{{full + "y", true}, {"b", false}}},
		{"257 bytes with CR", full + "\r\nb\n", []cutLine{{full + "\r", true}, {"b", false}}},
		{"1000 bytes", strings.Repeat("z", 1000) + "\nb\n", []cutLine{{strings.Repeat("z", MaxLine+1), true}, {"b", false}}},
		{"told before it ends", full + "yyy", []cutLine{{full + "y", true}}},
	} {
		var whole, bytewise Splitter
		if got := drain(&whole, []byte(c.stream)); !equalLines(got, c.want) {
			t.Errorf("%s: %+v, want %+v", c.name, got, c.want)
		}
		if got := drain(&bytewise, bytes.SplitAfter([]byte(c.stream), nil)...); !equalLines(got, c.want) {
			t.Errorf("%s, byte by byte: %+v, want %+v", c.name, got, c.want)
		}
	}
}

func TestSplitterReset(t *testing.T) {
	var s Splitter
	drain(&s, []byte("left over"))
	s.Reset()
	got := drain(&s, []byte("42,st"), []byte("ale\nfresh\n"))
	if want := []cutLine{{"fresh", false}}; !equalLines(got, want) {
		t.Errorf("after Reset: %+v, want %+v", got, want)
	}
	drain(&s, []byte(strings.Repeat("x", MaxLine+9)))
	s.Reset()
	if got := drain(&s, []byte("\nnext\n")); !equalLines(got, []cutLine{{"next", false}}) {
		t.Errorf("after Reset within an overlong line: %+v", got)
	}
}

func TestSplitterFeedTooSoon(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("feeding while lines wait must panic: they would be lost")
		}
	}()
	var s Splitter
	s.Feed([]byte("a\nb\n"))
	s.Next()
	s.Feed([]byte("c\n"))
}

// A device that never ends a line costs no memory and is one overlong line.
func TestSplitterEndless(t *testing.T) {
	var s Splitter
	chunk := bytes.Repeat([]byte("Z"), 10_000)
	over := 0
	allocs := testing.AllocsPerRun(1000, func() { // 10 MB
		s.Feed(chunk)
		for _, o, ok := s.Next(); ok; _, o, ok = s.Next() {
			if o {
				over++
			}
		}
	})
	if allocs != 0 || over != 1 {
		t.Errorf("%v allocations a chunk, %d overlong lines; want 0, 1", allocs, over)
	}
}

func TestSplitterChunking(t *testing.T) {
	piece := rapid.OneOf(
		rapid.SampledFrom([]string{"\n", "\r\n", "\r", sampleLine + "\n", "#fields t_us\r\n", "",
			strings.Repeat("k", MaxLine-1), strings.Repeat("l", MaxLine), strings.Repeat("m", 3*MaxLine)}),
		rapid.StringN(0, 40, 300),
	)
	rapid.Check(t, func(t *rapid.T) {
		stream := []byte(strings.Join(rapid.SliceOfN(piece, 0, 30).Draw(t, "pieces"), ""))
		afterOpen := rapid.Bool().Draw(t, "afterOpen")
		var s Splitter
		if afterOpen {
			s.Reset()
		}
		var chunks [][]byte
		for rest := stream; len(rest) > 0; {
			n := rapid.IntRange(1, min(len(rest), 600)).Draw(t, "chunk")
			chunks = append(chunks, rest[:n])
			rest = rest[n:]
		}
		got, want := drain(&s, chunks...), plainLines(stream, afterOpen)
		if !equalLines(got, want) {
			t.Fatalf("got  %+v\nwant %+v", got, want)
		}
	})
}
