//go:build unix

package controller

import (
	"os"
	"os/exec"
	"syscall"
)

// apart puts a process that is to be started into a group of its own.
func apart(c *exec.Cmd) { c.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} }

// killAll ends a process and all of its group.
func killAll(p *os.Process) {
	_ = syscall.Kill(-p.Pid, syscall.SIGKILL) // it may be gone
}
