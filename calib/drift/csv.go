package drift

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"
)

// ErrTorn is wrapped when the last line of a book is not whole.
var ErrTorn = errors.New("the last line is torn")

// columns names the columns of a book: RFC 4180 with a header row, lines ended by LF,
// times in UTC as RFC 3339, an empty field where there is no value.
func columns(u Unit) []string {
	in := func(name string) string { return name + "_" + string(u) }
	return []string{
		"time_utc", "what", "standard",
		in("reference"), in("u_reference"), in("indication"), in("u_indication"),
		"readings", "air_temperature_C", "note",
	}
}

func stamp(t time.Time) string { return t.UTC().Format(time.RFC3339Nano) }

// Write writes a history as a book: header and records.
func Write(w io.Writer, h History) error {
	if err := h.Check(); err != nil {
		return fmt.Errorf("write check records: %w", err)
	}
	out := csv.NewWriter(w)
	_ = out.Write(columns(h.Unit)) // kept by the writer and told by Error
	for i := range h.Records {
		_ = out.Write(fields(&h.Records[i]))
	}
	out.Flush()
	if err := out.Error(); err != nil {
		return fmt.Errorf("write check records: %w", err)
	}
	return nil
}

func fields(r *Record) []string {
	number := func(v float64) string {
		if math.IsNaN(v) {
			return ""
		}
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	return []string{
		stamp(r.When), string(r.What), r.Standard,
		number(r.Reference.Value), number(r.Reference.U), number(r.Indication.Value), number(r.Indication.U),
		strconv.Itoa(r.Readings), number(r.Air), r.Note,
	}
}

// Read reads a book. A last line without its end is not taken, though it may look
// whole, for it may have lost digits: the records before it are returned together with an
// error that wraps [ErrTorn]. Any other fault is refused with its line.
func Read(r io.Reader) (History, error) {
	const doing = "read check records"
	all, err := io.ReadAll(r)
	if err != nil {
		return History{}, fmt.Errorf("%s: %w", doing, err)
	}
	whole := wholeLines(all)
	h := History{}
	if len(whole) > 0 {
		if h, err = parse(whole); err != nil {
			return History{}, fmt.Errorf("%s: %w", doing, err)
		}
	}
	if tail := all[len(whole):]; len(tail) > 0 {
		return h, fmt.Errorf("%s: %w: %q after %d whole records has no end; cut it off before adding to the book", doing, ErrTorn, tail, len(h.Records))
	}
	if len(all) == 0 {
		return History{}, fmt.Errorf("%s: no header: want %s", doing, strings.Join(columns(Newtons), ","))
	}
	return h, nil
}

// wholeLines returns the part of a book up to its last line end. No field holds a line
// end of its own.
func wholeLines(all []byte) []byte { return all[:bytes.LastIndexByte(all, '\n')+1] }

func parse(book []byte) (History, error) {
	in := csv.NewReader(bytes.NewReader(book))
	in.FieldsPerRecord = len(columns(Newtons))
	header, err := in.Read()
	if err != nil {
		return History{}, err
	}
	var h History
	for _, u := range []Unit{Newtons, Metres, Counts} {
		if strings.Join(header, ",") == strings.Join(columns(u), ",") {
			h.Unit = u
		}
	}
	if h.Unit == "" {
		return History{}, fmt.Errorf("line 1: header %q: want %s, or _m or _counts for _N", strings.Join(header, ","), strings.Join(columns(Newtons), ","))
	}
	for {
		row, err := in.Read()
		if err == io.EOF {
			return h, nil
		}
		if err != nil {
			return History{}, err
		}
		line, _ := in.FieldPos(0)
		r, err := record(row)
		if err == nil {
			err = r.Check()
		}
		if n := len(h.Records); err == nil && n > 0 {
			err = follows(&r, &h.Records[n-1])
		}
		if err != nil {
			return History{}, fmt.Errorf("line %d: %w", line, err)
		}
		h.Records = append(h.Records, r)
	}
}

func record(row []string) (Record, error) {
	r := Record{What: What(row[1]), Standard: row[2], Air: math.NaN(), Note: row[9]}
	var err error
	if r.When, err = time.Parse(time.RFC3339Nano, row[0]); err != nil || !strings.HasSuffix(row[0], "Z") {
		return Record{}, fmt.Errorf("time_utc = %q: must be like 2026-03-04T18:30:00Z", row[0])
	}
	for i, to := range []*float64{&r.Reference.Value, &r.Reference.U, &r.Indication.Value, &r.Indication.U} {
		if *to, err = strconv.ParseFloat(row[3+i], 64); err != nil {
			return Record{}, fmt.Errorf("column %d = %q: must be a number", 4+i, row[3+i])
		}
	}
	if r.Readings, err = strconv.Atoi(row[7]); err != nil {
		return Record{}, fmt.Errorf("readings = %q: must be a whole number", row[7])
	}
	if row[8] != "" {
		if r.Air, err = strconv.ParseFloat(row[8], 64); err != nil {
			return Record{}, fmt.Errorf("air_temperature_C = %q: must be a number or empty", row[8])
		}
	}
	return r, nil
}
