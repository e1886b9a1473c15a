package source

import (
	"unsafe"

	"golang.org/x/sys/unix"
)

// serialStruct is the kernel's struct serial_struct (linux/serial.h).
type serialStruct struct {
	Type, Line       int32
	Port             uint32
	IRQ, Flags       int32
	XmitFifoSize     int32
	CustomDivisor    int32
	BaudBase         int32
	CloseDelay       uint16
	IOType, Reserved uint8
	Hub6             int32
	ClosingWait      [2]uint16
	IomemBase        uintptr
	IomemRegShift    uint16
	PortHigh         uint32
	IomapBase        uintptr
}

const asyncLowLatency = 1 << 13 // ASYNC_LOW_LATENCY, linux/tty_flags.h

// setLowLatency asks the driver to pass bytes on at once; some bridges hold short
// packets for 16 ms otherwise. Pseudo-terminals and many drivers refuse.
func setLowLatency(fd int) error {
	var s serialStruct
	if err := ioctlSerial(fd, unix.TIOCGSERIAL, &s); err != nil {
		return err
	}
	s.Flags |= asyncLowLatency
	return ioctlSerial(fd, unix.TIOCSSERIAL, &s)
}

func ioctlSerial(fd int, request uint, s *serialStruct) error {
	_, _, errno := unix.Syscall(unix.SYS_IOCTL, uintptr(fd), uintptr(request), uintptr(unsafe.Pointer(s)))
	if errno != 0 {
		return errno
	}
	return nil
}
