package wholefile

import (
	"errors"
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
		return nil, err
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
