package controller

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strconv"
	"sync"
	"time"
)

// Program is a controller as a program: each connection is a process of its own.
type Program struct {
	Context context.Context
	Words   []string // the program and its arguments
	Limits  Limits
	Stderr  io.Writer // gets the standard error of all processes, up to a bound; nil discards it
}

// process is one running program: standard input and output are the connection.
type process struct {
	cmd    *exec.Cmd
	stdin  io.WriteCloser
	stdout *os.File
	errors *tail
	watch  *watch
	ended  chan struct{} // closed once the process is gone
	close  sync.Once
}

const (
	// grace is the time that a process has to end by itself when its input has ended.
	grace = 500 * time.Millisecond
	// errorsWithin is how long its standard error is still read after that, as a child of its own may have
	// it open.
	errorsWithin = 200 * time.Millisecond
)

// Connect starts a process.
func (p *Program) Connect() (io.ReadWriteCloser, error) {
	if p.Context.Err() != nil {
		return nil, interrupted{}
	}
	out, theirs, err := os.Pipe()
	if err != nil {
		return nil, fmt.Errorf("a pipe for %s: %w", p.Words[0], err)
	}
	c := &process{cmd: exec.Command(p.Words[0], p.Words[1:]...), stdout: out, errors: &tail{to: p.Stderr}, ended: make(chan struct{})}
	c.cmd.Stdout, c.cmd.Stderr, c.cmd.WaitDelay = theirs, c.errors, errorsWithin
	apart(c.cmd) // an interrupt at the keyboard is for us alone
	if c.stdin, err = c.cmd.StdinPipe(); err == nil {
		err = c.cmd.Start()
	}
	_ = theirs.Close() // the process has its own
	if err != nil {
		_ = out.Close() // nothing was read
		return nil, fmt.Errorf("it cannot be started: %w", withoutExec(err))
	}
	go func() {
		_ = c.cmd.Wait() // what it says is in the state
		close(c.ended)
	}()
	c.watch = newWatch(p.Context, p.Limits, c.kill)
	return c, nil
}

// withoutExec is an error of starting without what this program knows already.
func withoutExec(err error) error {
	var of *exec.Error
	if errors.As(err, &of) {
		return fmt.Errorf("%s: %w", of.Name, of.Err)
	}
	return err
}

// Write sends to the standard input.
func (c *process) Write(line []byte) (int, error) {
	c.watch.asked(line)
	n, err := c.stdin.Write(line)
	if err != nil {
		err = c.reason("it has closed its standard input")
	}
	return n, err
}

// Read reads from the standard output.
func (c *process) Read(to []byte) (int, error) {
	n, err := c.stdout.Read(to)
	c.watch.came(to[:n])
	if err != nil {
		err = c.reason("it has closed its standard output")
	}
	return n, err
}

// reason is why nothing more comes.
func (c *process) reason(otherwise string) error {
	if err := c.watch.reason(); err != nil {
		return err
	}
	select {
	case <-c.ended:
		text := "its process ended, " + c.cmd.ProcessState.String()
		if last := c.errors.last(); last != "" {
			text += "; last line of its standard error: " + strconv.Quote(last)
		}
		return errors.New(text)
	case <-time.After(grace):
		return errors.New(otherwise)
	}
}

// Close ends the process: by the end of its input, and if that is not enough by force. What it has
// started itself ends with it.
func (c *process) Close() error {
	c.close.Do(func() {
		c.watch.stop()
		_ = c.stdin.Close()  // it may be gone
		_ = c.stdout.Close() // nothing more is read
		select {
		case <-c.ended:
		case <-time.After(grace):
		}
		c.kill()
		<-c.ended
	})
	return nil
}

func (c *process) kill() { killAll(c.cmd.Process) }
