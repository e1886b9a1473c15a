package runfile

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
)

// found is what a look over a run file brings to light.
type found struct {
	header []string // nil while the header itself is torn
	good   int64    // [bytes] header and whole rows from the start on
	count  tally    // of those rows
	more   bool     // whole lines follow that are not rows
}

// survey looks for the rows that are whole: ended by LF, with as many fields as the
// header, of printable characters, beginning with a time and an epoch. It stops at
// the first that is not, so that what it finds good can be read on its own. It
// looks at no other number: a row written by another version of this program is
// whole to it.
//
// A file that cannot be a run file is refused with [ErrForeign]; an error of
// reading is returned as it is.
func survey(src io.Reader) (found, error) {
	var f found
	lines := bufio.NewReaderSize(src, maxLine)
	line, err := lines.ReadSlice('\n')
	switch {
	case err == io.EOF && bytes.HasPrefix(AppendHeader(nil), line):
		return f, nil
	case err == io.EOF || err == bufio.ErrBufferFull:
		return f, fmt.Errorf("%w: it does not begin with a header", ErrForeign)
	case err != nil:
		return f, err
	}
	f.header, err = splitQuoted(line)
	if err == nil {
		if missing := missingColumns(f.header); len(missing) > 0 || f.header[0] != timeName || f.header[1] != epochName {
			err = errors.New("its first line is not the header of one")
		}
	}
	if err != nil {
		return f, fmt.Errorf("%w: %w", ErrForeign, err)
	}
	f.good = int64(len(line))
	for {
		line, err := lines.ReadSlice('\n')
		if err != nil && err != io.EOF && err != bufio.ErrBufferFull {
			return f, err
		}
		if err != nil || !f.admit(line) {
			f.more = err != io.EOF
			return f, nil
		}
	}
}

// admit counts line if it is a whole row.
func (f *found) admit(line []byte) bool {
	row := line[:len(line)-1]
	if bytes.Count(row, []byte(",")) != len(f.header)-1 {
		return false
	}
	for _, c := range row {
		if c < ' ' || c > '~' {
			return false
		}
	}
	first, rest, _ := bytes.Cut(row, []byte(","))
	second, _, _ := bytes.Cut(rest, []byte(","))
	at, err := parseNanoseconds(first)
	epoch, err2 := parseUint32(second)
	if err != nil || err2 != nil {
		return false
	}
	f.good += int64(len(line))
	f.count.add(at, epoch)
	return true
}
