package source

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"github.com/creack/pty"
	"golang.org/x/sys/unix"
)

// noticeAfter bounds how late an opening, a closing or a question is noticed; real
// boards take about as long.
const noticeAfter = 5 * time.Millisecond

// ServePty plays p into a new pseudo-terminal as a microcontroller on a serial port
// would: what is sent while nobody listens is lost, a reader's opening restarts the
// device (if p is a [Restarter]), a question is answered (if p is an [Asker]), and a
// reader that is too slow loses bytes, never holds the device up.
//
// It returns when ctx ends, or when p has come to its end and the reader has hung up.
func ServePty(ctx context.Context, p Player, o PtyOptions) (PtyCounts, error) {
	w, err := openWire()
	if err != nil {
		return PtyCounts{}, err
	}
	defer w.master.Close()
	path := w.path
	if o.Link != "" {
		if err := linkTo(o.Link, w.path); err != nil {
			return PtyCounts{}, err
		}
		defer unlinkFrom(o.Link, w.path)
		path = o.Link
	}
	if o.Ready != nil {
		o.Ready(path)
	}
	b := board{player: p, wire: w, pace: newPace(PlayOptions{Speed: o.Speed, Clock: o.Clock})}
	err = b.run(ctx)
	return b.counts, err
}

// board is a device being played.
type board struct {
	player Player
	wire   *wireEnd
	pace   *pace
	heard  bool // a reader has the terminal open
	counts PtyCounts
}

func (b *board) run(ctx context.Context) error {
	chunk, at, ok := b.player.Next()
	for full := false; ; {
		left := noticeAfter
		if ok && !full && (b.heard || !b.waits()) {
			left = min(left, b.pace.left(at))
		}
		if left > 0 && !pause(ctx, left) || ctx.Err() != nil {
			return nil
		}
		restarted, err := b.look()
		switch {
		case err != nil:
			return err
		case restarted: // what was on its way is gone
			chunk, at, ok = b.player.Next()
			continue
		case !ok && !b.heard:
			return nil
		case !ok || b.pace.left(at) > 0 || !b.heard && b.waits():
			continue
		}
		chunk, err = b.send(chunk)
		if err != nil {
			return err
		}
		if full = len(chunk) > 0; !full {
			chunk, at, ok = b.player.Next()
		}
	}
}

// waits reports that the device is unpaced: it sends when there is room, and to nobody
// nothing.
func (b *board) waits() bool { return b.pace.speed == 0 }

// look notices what the reader did since the last look.
func (b *board) look() (restarted bool, err error) {
	heard, asked, err := b.wire.look()
	if err != nil {
		return false, err
	}
	if heard != b.heard {
		b.heard = heard
		if !heard {
			return false, b.wire.reset()
		}
		b.counts.Opens++
		if r, ok := b.player.(Restarter); ok {
			r.Restart()
			restarted = true
		}
	}
	if asked {
		b.counts.Asks++
		if a, ok := b.player.(Asker); ok {
			a.Ask()
		}
	}
	return restarted, nil
}

// send returns what is still to be sent. A paced device has nothing left: a real one
// does not wait either.
func (b *board) send(chunk []byte) (rest []byte, err error) {
	if !b.heard {
		b.counts.Unheard += int64(len(chunk))
		return nil, nil
	}
	n, err := b.wire.write(chunk)
	b.counts.Sent += int64(n)
	if b.waits() {
		return chunk[n:], err
	}
	b.counts.Dropped += int64(len(chunk) - n)
	return nil, err
}

// wireEnd is the device's end of a pseudo-terminal.
type wireEnd struct {
	master *os.File
	path   string // of the reader's end
}

func openWire() (*wireEnd, error) {
	master, slave, err := pty.Open()
	if err != nil {
		return nil, fmt.Errorf("open pseudo-terminal: %w", err)
	}
	w := &wireEnd{master, slave.Name()}
	slave.Close()
	err = onDescriptor(master, func(fd int) error { return unix.SetNonblock(fd, true) })
	if err == nil {
		err = w.reset()
	}
	if err != nil {
		master.Close()
		return nil, err
	}
	return w, nil
}

// reset makes the reader's end raw and empty, as a port is that nobody has open. Having
// been open once is also what makes the terminal report a hang-up. A new reader that
// keeps the terminal to itself already is left alone.
func (w *wireEnd) reset() error {
	slave, err := os.OpenFile(w.path, os.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK, 0)
	if errors.Is(err, unix.EBUSY) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("reset pseudo-terminal: %w", bare(err))
	}
	defer slave.Close()
	return onDescriptor(slave, func(fd int) error {
		s, err := unix.IoctlGetTermios(fd, unix.TCGETS)
		if err != nil {
			return fmt.Errorf("reset pseudo-terminal %s: %w", w.path, err)
		}
		s.Iflag, s.Oflag, s.Lflag = 0, 0, 0
		s.Cc[unix.VMIN], s.Cc[unix.VTIME] = 1, 0
		if err := unix.IoctlSetTermios(fd, unix.TCSETS, s); err != nil {
			return fmt.Errorf("reset pseudo-terminal %s: %w", w.path, err)
		}
		return unix.IoctlSetInt(fd, unix.TCFLSH, unix.TCIOFLUSH)
	})
}

// look reports whether a reader is there and whether it sent a question mark.
func (w *wireEnd) look() (heard, asked bool, err error) {
	err = onDescriptor(w.master, func(fd int) error {
		p := []unix.PollFd{{Fd: int32(fd), Events: unix.POLLIN}}
		if _, err := unix.Poll(p, 0); err != nil && err != unix.EINTR {
			return fmt.Errorf("poll pseudo-terminal %s: %w", w.path, err)
		}
		heard = p[0].Revents&unix.POLLHUP == 0
		if p[0].Revents&unix.POLLIN != 0 {
			var said [256]byte
			n, _ := unix.Read(fd, said[:]) // an error is the reader leaving: seen at the next poll
			asked = bytes.IndexByte(said[:max(n, 0)], '?') >= 0
		}
		return nil
	})
	return heard, asked, err
}

// write gives the terminal what it takes at once.
func (w *wireEnd) write(b []byte) (n int, err error) {
	err = onDescriptor(w.master, func(fd int) error {
		n, err = unix.Write(fd, b)
		n = max(n, 0)
		switch err {
		case nil, unix.EAGAIN, unix.EINTR, unix.EIO:
			return nil
		}
		return fmt.Errorf("write pseudo-terminal %s: %w", w.path, err)
	})
	return n, err
}

// linkTo points link at path. It replaces a link to a pseudo-terminal that is no more, the
// leftover of a killed process, and nothing else.
func linkTo(link, path string) error {
	if _, err := os.Lstat(link); err == nil {
		old, err := os.Readlink(link)
		if err != nil || filepath.Dir(old) != filepath.Dir(path) {
			return fmt.Errorf("link %s to a pseudo-terminal: something else is there: name a link that does not exist", link)
		}
		if _, err := os.Stat(old); err == nil {
			return fmt.Errorf("link %s to a pseudo-terminal: it points at %s, which is in use: end what plays there or name another link", link, old)
		}
		if err := os.Remove(link); err != nil {
			return fmt.Errorf("link %s to a pseudo-terminal: %w", link, bare(err))
		}
	}
	if err := os.Symlink(path, link); err != nil {
		return fmt.Errorf("link %s to a pseudo-terminal: %w", link, err)
	}
	return nil
}

// unlinkFrom removes link unless another process has taken it over.
func unlinkFrom(link, path string) {
	if to, err := os.Readlink(link); err == nil && to == path {
		os.Remove(link)
	}
}
