//go:build unix

package terminal

import "syscall"

// goOn continues this process if it is to be suspended and was not: the system discards the request where no shell
// could continue it.
func goOn() { _ = syscall.Kill(syscall.Getpid(), syscall.SIGCONT) }
