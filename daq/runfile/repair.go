package runfile

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"
	"time"
)

// Repaired says what became of a run that was not closed.
type Repaired struct {
	Name    string // of the run file, without extension
	Rows    uint64 // [1] that it holds
	Cut     int64  // [bytes] cut off behind them
	Removed bool   // it held no row and is gone
}

// Repair makes run files of all runs in dir that were not closed and that no other
// program is writing. It is meant for the start of the program.
//
// NAME.csv.part keeps its rows up to the first that is torn, byte for byte, and
// becomes NAME.csv; its description then says that the run is not complete and why.
// What is cut off is kept as NAME.csv.cut if it held more than one torn line. A
// part without any row is removed together with its description. Should there be a
// NAME.csv already, the run becomes NAME-2.
//
// A part that cannot be repaired is left as it is and named in the error; the
// others are repaired all the same.
func Repair(dir *os.Root) ([]Repaired, error) {
	entries, err := fs.ReadDir(dir.FS(), ".")
	if err != nil {
		return nil, fmt.Errorf("repair the runs in %s: %w", dir.Name(), err)
	}
	var all []Repaired
	var faults []error
	for _, e := range entries {
		name, isPart := strings.CutSuffix(e.Name(), partExt)
		if !isPart || name == "" || !e.Type().IsRegular() {
			continue
		}
		one, err := repairPart(dir, name)
		switch {
		case errors.Is(err, errBusy):
		case err != nil:
			faults = append(faults, fmt.Errorf("repair %s: %w: left as it is", e.Name(), err))
		default:
			all = append(all, one)
		}
	}
	return all, errors.Join(faults...)
}

func repairPart(dir *os.Root, name string) (Repaired, error) {
	disk, part := folder{dir}, name+partExt
	file, err := dir.OpenFile(part, os.O_RDWR, 0)
	if err != nil {
		return Repaired{}, err
	}
	defer file.Close()
	if err := disk.hold(file, part); err != nil {
		return Repaired{}, err
	}
	found, err := survey(file)
	if err != nil {
		return Repaired{}, err
	}
	if found.count.rows == 0 && !found.more {
		return Repaired{Name: name, Removed: true}, discard(disk, name)
	}
	size, err := trim(dir, name, file, found)
	if err != nil {
		return Repaired{}, err
	}
	result := Repaired{Name: name, Rows: found.count.rows, Cut: size - found.good}
	meta := salvage(dir, name, file, found, result.Cut)
	if _, err := dir.Lstat(name + csvExt); err == nil {
		if result.Name, err = Free(dir, name); err != nil {
			return Repaired{}, err
		}
		meta.rename(result.Name)
	}
	text, err := meta.encode()
	if err == nil {
		err = replace(disk, result.Name+metaExt, text)
	}
	if err == nil {
		err = disk.Rename(part, result.Name+csvExt)
	}
	if err == nil {
		err = disk.Sync()
	}
	return result, err
}

// discard removes a run without rows.
func discard(disk Disk, name string) error {
	if err := disk.Remove(name + partExt); err != nil {
		return err
	}
	if err := disk.Remove(name + metaExt); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return disk.Sync()
}

// trim cuts file back to its whole rows and returns the size that it had [bytes].
// What holds more than one torn line is put aside first.
func trim(dir *os.Root, name string, file *os.File, f found) (int64, error) {
	info, err := file.Stat()
	if err != nil {
		return 0, err
	}
	size := info.Size()
	if f.more {
		aside, err := dir.Create(name + cutExt)
		if err != nil {
			return 0, err
		}
		_, err = io.Copy(aside, io.NewSectionReader(file, f.good, size-f.good))
		err = errors.Join(err, aside.Sync(), aside.Close())
		if err != nil {
			return 0, err
		}
	}
	if size > f.good {
		if err := file.Truncate(f.good); err != nil {
			return 0, err
		}
	}
	return size, file.Sync()
}

// salvage returns the description of a repaired run.
func salvage(dir *os.Root, name string, file *os.File, f found, cut int64) *Meta {
	m, err := readMeta(dir, name)
	switch {
	case err == nil && m.Complete && m.Rows == f.count.rows && cut == 0:
		return m // closed in order up to the very last step
	case err != nil:
		made := Meta{Created: createdAt(name, file)}.describe(name)
		m = &made
		m.Schema = schemaOf(f.header)
		if !errors.Is(err, fs.ErrNotExist) {
			m.complain(err.Error())
		}
		m.complain("no description of the run was found, so the setup is not known")
	}
	f.count.into(m)
	m.Complete = false
	m.complain(unclosed)
	if cut > 0 {
		m.complain(fmt.Sprintf("%d bytes behind the last whole row were cut off", cut))
	}
	if f.more {
		m.complain(fmt.Sprintf("they are kept in %s", name+cutExt))
	}
	return m
}

// createdAt makes out when a run without description began: by its name, or else by
// its last change.
func createdAt(name string, file *os.File) time.Time {
	if len(name) >= len(nameTime) {
		if t, err := time.Parse(nameTime, name[:len(nameTime)]); err == nil {
			return t
		}
	}
	if info, err := file.Stat(); err == nil {
		return info.ModTime()
	}
	return time.Time{}
}
