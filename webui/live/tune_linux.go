package live

import (
	"crypto/tls"
	"net"

	"golang.org/x/sys/unix"
)

const sendBuffer = 16 << 10 // [byte]

// tune keeps little in the kernel's send buffer: what waits there can be neither
// replaced by something newer nor counted as lost.
func tune(c net.Conn) {
	if encrypted, ok := c.(*tls.Conn); ok {
		c = encrypted.NetConn()
	}
	tcp, ok := c.(*net.TCPConn)
	if !ok {
		return
	}
	tcp.SetWriteBuffer(sendBuffer)
	if raw, err := tcp.SyscallConn(); err == nil {
		raw.Control(func(fd uintptr) {
			unix.SetsockoptInt(int(fd), unix.IPPROTO_TCP, unix.TCP_NOTSENT_LOWAT, sendBuffer)
		})
	}
}
