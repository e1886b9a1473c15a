package drift

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
)

// Load reads the book called name in dir. Of a torn one the whole records are returned
// with an error that wraps [ErrTorn]; of one that is not there, an error that wraps
// os.ErrNotExist.
func Load(dir *os.Root, name string) (History, error) {
	file, err := dir.Open(name)
	if err != nil {
		return History{}, fmt.Errorf("load the book: %w", err)
	}
	defer file.Close()
	h, err := Read(file)
	if err != nil {
		return h, fmt.Errorf("load %s: %w", name, err)
	}
	return h, nil
}

// Append adds one record to the book called name in dir and returns when the disk has it.
// A book that is not there, or empty, is begun. Nothing in it is ever changed: a record
// older than the last, or of another unit than the book's, is refused, and so is any
// record while the last line is torn ([Mend] cuts that off). One program writes a book at
// a time.
func Append(dir *os.Root, name string, u Unit, r Record) (err error) {
	doing := "add a check record to " + name
	if err := r.Check(); err != nil {
		return fmt.Errorf("%s: %w", doing, err)
	}
	if err := u.check(); err != nil {
		return fmt.Errorf("%s: %w", doing, err)
	}
	file, err := dir.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_APPEND, 0o644)
	if err != nil {
		return fmt.Errorf("%s: %w", doing, err)
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	old, err := io.ReadAll(file)
	if err != nil {
		return fmt.Errorf("%s: %w", doing, err)
	}
	var text bytes.Buffer
	out := csv.NewWriter(&text)
	if len(old) == 0 {
		_ = out.Write(columns(u)) // into memory
	} else if err := admits(old, u, &r); err != nil {
		return fmt.Errorf("%s: %w", doing, err)
	}
	_ = out.Write(fields(&r))
	out.Flush()
	if _, err = file.Write(text.Bytes()); err == nil {
		err = file.Sync()
	}
	if err != nil {
		// What got through of this record is not whole; if it stays, Mend is needed.
		return fmt.Errorf("%s: %w", doing, errors.Join(err, file.Truncate(int64(len(old)))))
	}
	if len(old) == 0 {
		syncFolder(dir)
	}
	return nil
}

// admits refuses a record that does not belong at the end of a book.
func admits(book []byte, u Unit, r *Record) error {
	h, err := Read(bytes.NewReader(book))
	if err != nil {
		return err
	}
	if h.Unit != u {
		return fmt.Errorf("the book is in %s, the record in %s: must be the same", h.Unit, u)
	}
	if n := len(h.Records); n > 0 {
		return follows(r, &h.Records[n-1])
	}
	return nil
}

// Mend cuts a torn last line off a book and keeps what it cut in NAME.torn, behind
// anything kept there before. It returns the number of bytes cut, 0 where the book is
// whole.
func Mend(dir *os.Root, name string) (cut int, err error) {
	doing := "mend " + name
	file, err := dir.OpenFile(name, os.O_RDWR, 0)
	if err != nil {
		return 0, fmt.Errorf("%s: %w", doing, err)
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	all, err := io.ReadAll(file)
	if err != nil {
		return 0, fmt.Errorf("%s: %w", doing, err)
	}
	whole := len(wholeLines(all))
	if whole == len(all) {
		return 0, nil
	}
	if err := keep(dir, name+".torn", all[whole:]); err != nil {
		return 0, fmt.Errorf("%s: keep what is cut off: %w", doing, err)
	}
	if err := errors.Join(file.Truncate(int64(whole)), file.Sync()); err != nil {
		return 0, fmt.Errorf("%s: %w", doing, err)
	}
	return len(all) - whole, nil
}

// keep adds bytes and a line end to a file.
func keep(dir *os.Root, name string, text []byte) error {
	file, err := dir.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_APPEND, 0o644)
	if err != nil {
		return err
	}
	_, err = file.Write(append(bytes.Clone(text), '\n'))
	return errors.Join(err, file.Sync(), file.Close())
}

// syncFolder makes the name of a new book outlive a power cut. Some systems have no such
// call for folders; the records are safe without.
func syncFolder(dir *os.Root) {
	if d, err := dir.Open("."); err == nil {
		_ = d.Sync()
		d.Close()
	}
}
