//go:build !linux

package live

import "net"

const sendBuffer = 16 << 10 // [byte]

// tune keeps little in the kernel's send buffer: what waits there can be neither
// replaced by something newer nor counted as lost.
func tune(c net.Conn) {
	if tcp, ok := c.(*net.TCPConn); ok {
		tcp.SetWriteBuffer(sendBuffer)
	}
}
