package runfile

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"time"
)

// ErrTaken is wrapped by the refusal of a name under which there is a run already.
var ErrTaken = errors.New("there is a run of this name already")

// Name returns the name for a run that begins now, without an extension:
// 2026-11-25T184210Z-tamar. It sorts by time and passes on every file system.
// [Free] makes it one that is not in use.
func Name(now time.Time, bench string) string {
	const most = 40
	var slug strings.Builder
	for _, c := range strings.ToLower(bench) {
		switch {
		case slug.Len() == most:
		case c >= 'a' && c <= 'z' || c >= '0' && c <= '9':
			slug.WriteRune(c)
		case slug.Len() > 0 && !strings.HasSuffix(slug.String(), "-"):
			slug.WriteByte('-')
		}
	}
	name := strings.TrimSuffix(slug.String(), "-")
	if name == "" {
		name = "bench"
	}
	return now.UTC().Format(nameTime) + "-" + name
}

// nameTime is the time in a run's name; colons would not pass everywhere.
const nameTime = "2006-01-02T150405Z"

// Free returns name if no run in dir has it, else the first of name-2, name-3 and
// so on that none has.
func Free(dir *os.Root, name string) (string, error) {
	candidate := name
	for n := 2; ; n++ {
		err := available(dir, candidate)
		if !errors.Is(err, ErrTaken) {
			return candidate, err
		}
		candidate = fmt.Sprintf("%s-%d", name, n)
	}
}

// available returns nil if no file in dir belongs to a run of this name.
func available(dir *os.Root, name string) error {
	if err := checkName(name); err != nil {
		return err
	}
	for _, ext := range []string{csvExt, partExt, metaExt} {
		_, err := dir.Lstat(name + ext)
		if err == nil {
			return fmt.Errorf("%w: %s", ErrTaken, name+ext)
		}
		if !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}

func checkName(name string) error {
	bad := func(c rune) bool { return c < ' ' || c == 0x7f || strings.ContainsRune(`/\:*?"<>|`, c) }
	if name == "" || len(name) > 200 || name[0] == '.' || strings.ContainsFunc(name, bad) {
		return fmt.Errorf("name a run %q: must be a plain file name of 1 to 200 bytes that does not begin with a point", name)
	}
	return nil
}
