// Command fairburn judges bench trials of small spirit burners: it reads the
// sheet that a tester keeps, reduces every burn to figures at reference
// conditions, and says which burner is really better and how sure that is.
//
// Read run.go (commands, errors, exit codes), then one file a command.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], streams{os.Stdin, os.Stdout, os.Stderr})
	stop()
	os.Exit(code)
}
