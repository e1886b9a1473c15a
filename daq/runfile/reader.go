package runfile

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"joulewell/daq/frame"
)

// ErrForeign is wrapped by the refusal of a table that is not a run file.
var ErrForeign = errors.New("not a run file")

// maxLine bounds a line [bytes]: a row of ours has at most about 5000, and most
// have 200.
const maxLine = 64 << 10

// maxMeta bounds a table description [bytes]; ours have about 12 000.
const maxMeta = 4 << 20

// Reader reads a run file row by row.
type Reader struct {
	name   string
	src    *bufio.Reader
	closer io.Closer
	meta   *Meta
	line   int      // [1] number of the line read last
	names  []string // header
	fields []field  // by position; nil for a column that is passed over
}

// Open opens the run file at path and reads the description beside it, if there is
// one. It refuses a file whose header is not that of a run file with [ErrForeign].
func Open(path string) (*Reader, error) {
	dir, err := os.OpenRoot(filepath.Dir(path))
	if err != nil {
		return nil, err
	}
	defer dir.Close()
	return open(dir, filepath.Base(path))
}

// open opens the file called name, with its extension, in dir.
func open(dir *os.Root, name string) (*Reader, error) {
	file, err := dir.Open(name)
	if err != nil {
		return nil, err
	}
	r, err := NewReader(file.Name(), file)
	if err == nil {
		r.closer = file
		r.meta, err = readMeta(dir, strings.TrimSuffix(name, csvExt))
		if errors.Is(err, fs.ErrNotExist) {
			err = nil
		}
	}
	if err != nil {
		file.Close()
		return nil, err
	}
	return r, nil
}

// readMeta reads the description of the run called name.
func readMeta(dir *os.Root, name string) (*Meta, error) {
	file, err := dir.Open(name + metaExt)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	text, err := io.ReadAll(io.LimitReader(file, maxMeta))
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", file.Name(), err)
	}
	m, err := decodeMeta(text)
	if err != nil {
		return nil, fmt.Errorf("read %s: %w: move it away to read the rows without it", file.Name(), err)
	}
	return m, nil
}

// NewReader reads rows from src; name is for messages. Columns may come in any
// order. The first four, the raw ones and flags must be there; a derived one may
// lack, for it can be worked out again; unknown ones are passed over.
func NewReader(name string, src io.Reader) (*Reader, error) {
	r := &Reader{name: name, src: bufio.NewReaderSize(src, maxLine)}
	line, err := r.next()
	if err == io.EOF {
		return nil, fmt.Errorf("read %s: %w: it is empty", name, ErrForeign)
	}
	if err != nil {
		return nil, err
	}
	// Spreadsheets put a byte order mark before the table when they save it again.
	line = bytes.TrimPrefix(line, []byte("\uFEFF"))
	r.names, err = splitQuoted(line)
	if err != nil {
		return nil, fmt.Errorf("read %s: %w: line 1: %w", name, ErrForeign, err)
	}
	for i, column := range r.names {
		f := fieldOf(column)
		if f != nil && slices.Contains(r.names[:i], column) {
			return nil, fmt.Errorf("read %s: line 1: %s is there twice: remove one of the two columns", name, column)
		}
		r.fields = append(r.fields, f)
	}
	if missing := missingColumns(r.names); len(missing) > 0 {
		return nil, fmt.Errorf("read %s: %w: line 1 has no column %s: a run file begins with %s,%s,%s,%s",
			name, ErrForeign, missing[0], timeName, epochName, seqName, deviceName)
	}
	return r, nil
}

func missingColumns(names []string) (missing []string) {
	for _, c := range currentSchema().Columns {
		if c.Kind != "derived" && !slices.Contains(names, c.Name) {
			missing = append(missing, c.Name)
		}
	}
	return missing
}

// Meta returns the description found beside the file, or nil.
func (r *Reader) Meta() *Meta { return r.meta }

// Close closes the file that [Open] opened.
func (r *Reader) Close() error {
	if r.closer == nil {
		return nil
	}
	return r.closer.Close()
}

// ReadAll returns all rows that are left.
func (r *Reader) ReadAll() ([]frame.Frame, error) {
	var all []frame.Frame
	if r.meta != nil {
		all = make([]frame.Frame, 0, min(r.meta.Rows, 1<<20))
	}
	for {
		var f frame.Frame
		switch err := r.Next(&f); err {
		case nil:
			all = append(all, f)
		case io.EOF:
			return all, nil
		default:
			return all, err
		}
	}
}

// Next reads the next row into f, all of which it replaces: what the row does not
// hold is absent. It returns io.EOF after the last row, and an error that names the
// line when a row cannot be read.
func (r *Reader) Next(f *frame.Frame) error {
	line, err := r.next()
	if err != nil {
		return err
	}
	*f = blank
	if bytes.IndexByte(line, '"') >= 0 {
		return r.quoted(f, line)
	}
	for i := range r.fields {
		end := 0
		for end < len(line) && line[end] != ',' {
			end++
		}
		if last := i == len(r.fields)-1; last != (end == len(line)) {
			return r.wrongCount(bytes.Count(line, []byte(",")) + i + 1)
		}
		if r.fields[i] != nil {
			if err := r.fields[i](f, line[:end]); err != nil {
				return r.fault(refused(r.names[i], line[:end], err))
			}
		}
		line = line[min(end+1, len(line)):]
	}
	return nil
}

// quoted reads a row with quoted fields, which only other programs write.
func (r *Reader) quoted(f *frame.Frame, line []byte) error {
	texts, err := splitQuoted(line)
	if err != nil {
		return r.fault(err)
	}
	if len(texts) != len(r.fields) {
		return r.wrongCount(len(texts))
	}
	for i, text := range texts {
		if r.fields[i] == nil {
			continue
		}
		if err := r.fields[i](f, []byte(text)); err != nil {
			return r.fault(refused(r.names[i], []byte(text), err))
		}
	}
	return nil
}

func splitQuoted(line []byte) ([]string, error) {
	table := csv.NewReader(bytes.NewReader(line))
	texts, err := table.Read()
	var place *csv.ParseError
	if errors.As(err, &place) {
		err = fmt.Errorf("%w: a field must begin and end on one line", place.Err)
	} else if err == io.EOF {
		err = errors.New("is blank")
	}
	return texts, err
}

// next returns the next line without its end, which may also be CR LF. It is valid
// until the next call. The last line may lack its end.
func (r *Reader) next() ([]byte, error) {
	line, err := r.src.ReadSlice('\n')
	r.line++
	switch {
	case err == io.EOF && len(line) == 0:
		return nil, io.EOF
	case err == bufio.ErrBufferFull:
		return nil, r.fault(fmt.Errorf("longer than %d bytes", maxLine))
	case err == io.EOF:
		return line, nil
	case err != nil:
		return nil, r.fault(err)
	}
	line = line[:len(line)-1]
	return bytes.TrimSuffix(line, []byte("\r")), nil
}

func (r *Reader) wrongCount(n int) error {
	return r.fault(fmt.Errorf("%d fields: must be %d as in the header; has the line been cut off?", n, len(r.names)))
}

func (r *Reader) fault(why error) error {
	return fmt.Errorf("read %s: line %d: %w", r.name, r.line, why)
}
