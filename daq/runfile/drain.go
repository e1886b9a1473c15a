package runfile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"syscall"
	"time"
)

// maxBackoff is the longest wait between two tries on a disk that refuses.
const maxBackoff = 2 * time.Second

// writeLoop hands rows to the operating system, a batch at a time.
func (r *Recorder) writeLoop() {
	wait := r.o.FlushEvery
	wake := r.wake
	timer := time.NewTimer(wait)
	defer timer.Stop()
	for {
		select {
		case <-timer.C:
		case <-wake:
		case <-r.stop:
			return
		}
		if r.flush() == nil {
			wait, wake = r.o.FlushEvery, r.wake
		} else {
			wait, wake = min(2*wait, maxBackoff), nil // a full buffer is no reason to try more often
		}
		timer.Reset(wait)
	}
}

// flush writes the rows that wait, or what an earlier try left of them, by one
// write. After a short one the file is cut back to its last whole row.
//
// Rows are written at their place in the file, not at its end: should the cut not
// succeed either, the next try writes over the torn row instead of behind it.
func (r *Recorder) flush() error {
	r.take()
	if len(r.batch) == 0 {
		return nil
	}
	n, err := r.file.WriteAt(r.batch, r.good)
	if err == nil && n < len(r.batch) {
		err = io.ErrShortWrite
	}
	whole := bytes.LastIndexByte(r.batch[:n], '\n') + 1
	lines := bytes.Count(r.batch[:whole], []byte("\n"))
	if r.good == 0 && lines > 0 {
		lines-- // the header
	}
	r.good += int64(whole)
	r.batch = r.batch[whole:]
	r.written.Add(uint64(lines))
	r.mu.Lock()
	r.taken = len(r.batch)
	r.mu.Unlock()
	if err == nil {
		r.trouble.Store(nil)
		return nil
	}
	if n > whole {
		r.file.Truncate(r.good) // what it says does not matter, see above
	}
	if text := writeTrouble(r.name, err); r.trouble.Swap(&text) == nil {
		r.remember(text)
	}
	return err
}

// take moves the waiting rows to the writer's side, if nothing is left there.
func (r *Recorder) take() {
	if len(r.batch) > 0 {
		return
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	r.spare, r.pending = r.pending, r.spare[:0]
	r.batch, r.taken = r.spare, len(r.spare)
}

func writeTrouble(name string, err error) string {
	switch {
	case errors.Is(err, syscall.ENOSPC):
		return fmt.Sprintf("disk full: rows of %s wait in memory: free space, the run goes on when there is room", name)
	case errors.Is(err, syscall.EDQUOT):
		return fmt.Sprintf("disk quota used up: rows of %s wait in memory: free space, the run goes on when there is room", name)
	}
	return fmt.Sprintf("rows of %s wait in memory: %v: check the disk, the run goes on when it takes them", name, err)
}

// syncLoop makes rows and description last. It stands apart from the writer
// because an fsync may take seconds, in which rows had better be written.
func (r *Recorder) syncLoop(description File) {
	described := r.settled(description)
	ticker := time.NewTicker(r.o.SyncEvery)
	defer ticker.Stop()
	for {
		select {
		case <-ticker.C:
		case <-r.stop:
			return
		}
		if !described {
			described = r.settled(r.begin())
		}
		if r.stored.Load() != r.written.Load() {
			r.sync()
		}
	}
}

// begin writes the description under which a repair would find the run, before any row
// is in the file, so that a kill leaves no rows of an unknown setup. It returns nil where
// that failed; then another try is due.
func (r *Recorder) begin() File {
	text, err := r.meta.encode()
	var file File
	if err == nil {
		file, err = place(r.o.Disk, r.name+metaExt, text)
	}
	if err != nil {
		r.undescribed(err)
		return nil
	}
	return file
}

// settled makes the description and the names of both files last.
func (r *Recorder) settled(description File) bool {
	if description == nil {
		return false
	}
	err := lasting(r.o.Disk, description)
	if err != nil {
		r.undescribed(err)
	}
	return err == nil
}

func (r *Recorder) undescribed(err error) {
	r.remember(fmt.Sprintf("the description could not be written at once: %v", err))
}

// sync makes the written rows last.
//
// A disk reports once that it could not store what it had accepted, and may then
// report success without having stored it. So the rows at stake stay suspect
// whatever later syncs say; nobody can take that back but whoever looks at the disk.
func (r *Recorder) sync() {
	from, to := r.stored.Load(), r.written.Load()
	if err := r.file.Sync(); err != nil {
		text := fmt.Sprintf("rows %d to %d of %s may be missing after a power cut: the disk could not confirm them (%v): copy the run elsewhere and check the disk",
			from+1, to, r.name, err)
		r.suspect.Store(&text)
		r.remember(text)
		return
	}
	if r.suspect.Load() == nil {
		r.stored.Store(to)
	}
}
