package virtual

import (
	"bytes"

	"joulewell/daq/wire"
)

// lineFaults spoil the text of data lines. Those that keep the checksum right come
// first: they test more than it.
var lineFaults = []spec{
	{
		Fault: Fault{"missing-field", "a value is left out together with its comma", 0.02, "1"},
		kind:  share,
		line: func(f *active, _ *Device, line []byte) []byte {
			from, to := field(f, line)
			if to < sum(line) {
				to++ // the comma behind it
			} else {
				from-- // the last one: the comma before it
			}
			return reseal(append(line[:from], line[to:sum(line)]...))
		},
	},
	{
		Fault: Fault{"huge-number", "a value is far beyond what any sensor can show", 0.02, "1"},
		kind:  share,
		line:  swap("1e300", "99999999999999999999", "-4.2e18", "18446744073709551616"),
	},
	{
		Fault: Fault{"nan-text", "a value is a word that lenient readers take for a number", 0.02, "1"},
		kind:  share,
		line:  swap("nan", "NaN", "inf", "-Infinity", "0x1p-2", "1_000"),
	},
	{
		Fault: Fault{"bad-checksum", "a digit is changed on the way", 0.02, "1"},
		kind:  share,
		line: func(f *active, _ *Device, line []byte) []byte {
			for {
				if i := f.rng.IntN(sum(line)); line[i] >= '0' && line[i] <= '9' {
					line[i] = '0' + (line[i]-'0'+1+byte(f.rng.IntN(9)))%10
					return line
				}
			}
		},
	},
	{
		Fault: Fault{"torn-line", "bytes are lost from the middle of a line", 0.02, "1"},
		kind:  share,
		line: func(f *active, _ *Device, line []byte) []byte {
			if len(line) < 2 {
				return line // torn already, for a fault may be there twice
			}
			from := f.rng.IntN(len(line) - 1)
			to := from + 1 + f.rng.IntN(len(line)-1-from)
			return append(line[:from], line[to:]...)
		},
	},
	{
		Fault: Fault{"no-newline", "a line ends without its newline, glued to the next", 0.02, "1"},
		kind:  share,
		line:  func(_ *active, _ *Device, line []byte) []byte { return bytes.TrimSuffix(line, []byte("\n")) },
	},
	{
		Fault: Fault{"crlf", "lines end in CR LF", 1, "1"},
		kind:  share,
		line: func(_ *active, _ *Device, line []byte) []byte {
			return append(bytes.TrimSuffix(line, []byte("\n")), '\r', '\n')
		},
	},
	{
		Fault: Fault{"doubled-line", "a line is sent twice", 0.02, "1"},
		kind:  share,
		line:  func(_ *active, _ *Device, line []byte) []byte { return append(line, line...) },
	},
	{
		Fault: Fault{"swapped-lines", "a line is sent after the next one", 0.02, "1"},
		kind:  steady,
		line:  holdBack,
	},
	{
		Fault: Fault{"binary-noise", "up to 40 bytes of any value come before a line", 0.02, "1"},
		kind:  share,
		line: func(f *active, _ *Device, line []byte) []byte {
			noise := make([]byte, 1+f.rng.IntN(40), 40+len(line))
			for i := range noise {
				noise[i] = byte(f.rng.Uint32())
			}
			return append(noise, line...)
		},
	},
}

// holdBack keeps a line until the next has passed.
func holdBack(f *active, _ *Device, line []byte) []byte {
	if len(f.text) > 0 {
		line = append(line, f.text...)
		f.text = f.text[:0]
		return line
	}
	if f.rng.Float64() < f.Strength {
		f.text = append(f.text[:0], line...)
		return line[:0]
	}
	return line
}

// swap returns a fault that puts one of some texts in a value's place.
func swap(texts ...string) func(*active, *Device, []byte) []byte {
	return func(f *active, _ *Device, line []byte) []byte {
		from, to := field(f, line)
		rest := append([]byte(nil), line[to:sum(line)]...)
		line = append(line[:from], texts[f.rng.IntN(len(texts))]...)
		return reseal(append(line, rest...))
	}
}

// sum returns the index of the asterisk before the checksum, or the line's length when
// an earlier fault took it.
func sum(line []byte) int {
	if i := bytes.LastIndexByte(line, '*'); i >= 0 {
		return i
	}
	return len(line)
}

// field returns where a value picked by chance begins and ends.
func field(f *active, line []byte) (from, to int) {
	body := line[:sum(line)]
	for n := f.rng.IntN(bytes.Count(body, []byte(",")) + 1); n > 0; n-- {
		from += bytes.IndexByte(body[from:], ',') + 1
	}
	if to = bytes.IndexByte(body[from:], ','); to < 0 {
		return from, len(body)
	}
	return from, from + to
}

// reseal appends the right checksum and LF to the body of a line.
func reseal(body []byte) []byte {
	const digits = "0123456789ABCDEF"
	s := wire.Checksum(body)
	return append(body, '*', digits[s>>4], digits[s&15], '\n')
}
