package controller

import (
	"fmt"
	"net"
	"strconv"
)

// IsLoopback is whether an address is of this machine alone. The error is of one that cannot be
// listened on.
func IsLoopback(address string) (bool, error) {
	host, port, err := net.SplitHostPort(address)
	if err != nil || host == "" {
		return false, fmt.Errorf("is %q; must be HOST:PORT such as 127.0.0.1:4000", address)
	}
	if _, err := strconv.ParseUint(port, 10, 16); err != nil {
		return false, fmt.Errorf("has the port %q; must be a number from 0 to 65535, where 0 takes a free one", port)
	}
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback(), nil
}
