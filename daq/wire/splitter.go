package wire

import "bytes"

// MaxLine is the longest line taken [bytes], LF not counted, CR counted.
const MaxLine = 256

// Splitter cuts a stream of bytes into lines. How the stream is cut into chunks
// makes no difference to the lines. The zero value is at the start of a line; use
// [Splitter.Reset] after opening a device.
//
//	s.Feed(chunk)
//	for line, _, ok := s.Next(); ok; line, _, ok = s.Next() { ... }
type Splitter struct {
	rest  []byte            // of the chunk fed last
	carry [MaxLine + 1]byte // a line begun in earlier chunks
	held  int               // bytes in carry
	skip  bool              // drop everything up to the next LF
}

// Reset forgets what is held and drops all bytes up to the first LF: after an open,
// the first line may be stale or torn.
func (s *Splitter) Reset() { *s = Splitter{skip: true} }

// Feed hands over a chunk, which must stay unchanged until Next reports that it is
// used up. Feeding before that is a slip of the caller and panics.
func (s *Splitter) Feed(chunk []byte) {
	if len(s.rest) > 0 {
		panic("wire: Splitter.Feed called while lines of the last chunk wait")
	}
	s.rest = chunk
}

// Next returns the next line, without LF and without the CR before it; ok is false
// when the chunk is used up. The line is valid until the next call of any method.
//
// A line longer than [MaxLine] comes once, as soon as that is certain, cut to
// MaxLine+1 bytes (so that a [Decoder] refuses it as too long) and with overlong
// set; what follows of it up to the LF is dropped.
func (s *Splitter) Next() (line []byte, overlong, ok bool) {
	for len(s.rest) > 0 {
		end := bytes.IndexByte(s.rest, '\n')
		if s.skip {
			s.drop(end)
			continue
		}
		if room := MaxLine - s.held; end > room || end < 0 && len(s.rest) > room {
			return s.cut(room + 1), true, true
		}
		if end < 0 {
			s.keep(len(s.rest))
			return nil, false, false
		}
		if s.held == 0 {
			line = s.rest[:end]
			s.rest = s.rest[end:]
		} else {
			s.keep(end)
			line = s.carry[:s.held]
			s.held = 0
		}
		s.rest = s.rest[len("\n"):]
		if n := len(line); n > 0 && line[n-1] == '\r' {
			line = line[:n-1]
		}
		return line, false, true
	}
	s.rest = nil
	return nil, false, false
}

// drop throws away what belongs to a line that is not wanted; end is the index of
// its LF, or negative.
func (s *Splitter) drop(end int) {
	if end < 0 {
		s.rest = nil
		return
	}
	s.rest = s.rest[end+1:]
	s.skip = false
}

// cut returns what is held with n more bytes and drops the rest of the line.
func (s *Splitter) cut(n int) []byte {
	s.keep(n)
	s.held = 0
	s.skip = true
	return s.carry[:]
}

// keep moves n bytes from the chunk to the carry.
func (s *Splitter) keep(n int) {
	s.held += copy(s.carry[s.held:], s.rest[:n])
	s.rest = s.rest[n:]
}
