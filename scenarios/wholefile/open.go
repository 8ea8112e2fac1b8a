package wholefile

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"runtime"
	"syscall"
)

// errNoFile is the reason of what has no end, or may never begin.
var errNoFile = errors.New("it is a pipe or a device; must be a file")

// Open opens a file that is read as a whole. A pipe or a device is refused, without waiting for who writes to
// the pipe. Of a folder the first read says what it is.
func Open(path string) (*os.File, error) {
	flag := os.O_RDONLY
	if runtime.GOOS != "windows" {
		flag |= syscall.O_NONBLOCK
	}
	f, err := os.OpenFile(path, flag, 0)
	if err != nil {
		return nil, dangling(path, err)
	}
	info, err := f.Stat()
	if err == nil && !info.IsDir() && !info.Mode().IsRegular() {
		err = &fs.PathError{Op: "read", Path: path, Err: errNoFile}
	}
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return f, nil
}

// dangling says of a link that leads nowhere that it is one.
func dangling(path string, err error) error {
	target, linkErr := os.Readlink(path)
	if linkErr != nil || !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return &fs.PathError{Op: "open", Path: path, Err: &danglingError{target}}
}

// danglingError is the reason of a link whose target is not there.
type danglingError struct{ target string }

func (e *danglingError) Error() string {
	return fmt.Sprintf("it is a link to %s, which is not there", e.target)
}

func (e *danglingError) Unwrap() error { return fs.ErrNotExist }
