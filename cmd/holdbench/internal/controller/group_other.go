//go:build !unix

package controller

import (
	"os"
	"os/exec"
)

// apart leaves the process as it is.
func apart(*exec.Cmd) {}

// killAll ends a process.
func killAll(p *os.Process) {
	_ = p.Kill() // it may be gone
}
