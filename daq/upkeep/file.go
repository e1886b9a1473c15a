package upkeep

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// head opens a new book.
const head = "# Calibrations of this bench. Entries are only ever added; the newest of each kind counts.\n"

// Load reads the book at path. There being none is an empty book.
func Load(path string) (Book, error) {
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) || path == "" {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("read the calibration book: %w", err)
	}
	book, err := Parse(string(text))
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", filepath.Base(path), err)
	}
	return book, nil
}

// Add writes e at the end of the book at path and sees that it is on the disk. A book
// that cannot be read, and one to which e is older than what stands there, is left as it
// is.
func Add(path string, e Entry) error {
	book, err := Load(path)
	if err != nil {
		return fmt.Errorf("%w: nothing was written", err)
	}
	text, err := e.text()
	if err != nil {
		return err
	}
	if err := e.check(); err != nil {
		return fmt.Errorf("add to %s: %w", filepath.Base(path), err)
	}
	if was := book.Latest(e.Kind); was != nil && e.Date.Before(was.Date) {
		return fmt.Errorf("add to %s: the %s was calibrated on %s, after this entry's date, %s: is this machine's clock right? nothing was written",
			filepath.Base(path), e.Kind.Part(), day(was.Date), day(e.Date))
	}
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_APPEND|os.O_CREATE, 0o644)
	if err != nil {
		return fmt.Errorf("open the calibration book: %w", err)
	}
	if err := grow(file, text); err != nil {
		file.Close()
		return fmt.Errorf("write the calibration book: %w: it is as it was before", err)
	}
	return file.Close()
}

// grow writes text at the end of a file, whole or not at all.
func grow(file *os.File, text string) error {
	info, err := file.Stat()
	if err != nil {
		return err
	}
	if info.Size() == 0 {
		text = head + text
	}
	if _, err = file.WriteString(text); err == nil {
		err = file.Sync()
	}
	if err != nil {
		return errors.Join(err, file.Truncate(info.Size()))
	}
	return nil
}
