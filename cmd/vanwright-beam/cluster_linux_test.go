package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// cluster is an engine that runs pipelines, made of Java processes on this machine that
// listen on the loopback address, with Beam's job server before them.
type cluster struct {
	runner  string // flink or spark
	dir     string // settings, logs, what the processes leave
	jars    string // class path
	program string // vanwright-beam, as it is installed
	jobs    string // address of the job server
	options []string
	env     []string
	servers []*exec.Cmd // all that were started
}

// newCluster looks for the engine's jars in the folder that a variable names, and
// builds the program.
func newCluster(t testing.TB, runner, variable string) *cluster {
	t.Helper()
	jars, err := filepath.Glob(filepath.Join(os.Getenv(variable), "*.jar"))
	if os.Getenv(variable) == "" || err != nil || len(jars) == 0 {
		t.Skipf("%s names no folder of jars: .ci/engines fetches them and runs this test", variable)
	}
	if _, err := exec.LookPath("java"); err != nil {
		t.Skip("no java here: " + runner + " can't be started")
	}
	c := &cluster{runner: runner, dir: t.TempDir(), jars: strings.Join(jars, ":")}
	c.program = filepath.Join(c.dir, "vanwright-beam")
	if out, err := exec.Command("go", "build", "-o", c.program, ".").CombinedOutput(); err != nil {
		t.Fatalf("build vanwright-beam: %v\n%s", err, out)
	}
	t.Cleanup(func() {
		if t.Failed() {
			c.tellTrouble(t)
		}
	})
	return c
}

// opened are the parts of Java that Flink 1.19 and Spark 3.5 reach into, by their own
// start scripts.
var opened = []string{
	"java.lang", "java.lang.invoke", "java.lang.reflect", "java.io", "java.net", "java.nio", "java.text", "java.time", "java.util",
	"java.util.concurrent", "java.util.concurrent.atomic", "java.util.concurrent.locks",
	"sun.nio.ch", "sun.nio.cs", "sun.security.action", "sun.util.calendar",
}

// start starts a Java process in a group of its own, so that what it starts in turn
// ends with it.
func (c *cluster) start(t testing.TB, name string, heapMB int, class string, args ...string) *exec.Cmd {
	t.Helper()
	temp := filepath.Join(c.dir, "temp")
	if err := os.MkdirAll(temp, 0o755); err != nil {
		t.Fatal(err)
	}
	java := []string{
		fmt.Sprintf("-Xmx%dm", heapMB), "-XX:+UseSerialGC", "-XX:TieredStopAtLevel=1", "-Djava.io.tmpdir=" + temp,
		"-Dorg.slf4j.simpleLogger.showDateTime=true", "-Dorg.slf4j.simpleLogger.dateTimeFormat=HH:mm:ss.SSS",
		"--add-exports=java.base/sun.net.util=ALL-UNNAMED",
	}
	for _, part := range opened {
		java = append(java, "--add-opens=java.base/"+part+"=ALL-UNNAMED")
	}
	cmd := exec.Command("java", append(append(append(java, c.options...), "-cp", c.jars, class), args...)...)
	log, err := os.Create(filepath.Join(c.dir, name+".log"))
	if err != nil {
		t.Fatal(err)
	}
	cmd.Stdout, cmd.Stderr, cmd.Dir = log, log, c.dir
	cmd.Env = append(append(os.Environ(), "TMPDIR="+temp), c.env...)
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true, Pdeathsig: syscall.SIGKILL}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL)
		_ = cmd.Wait() // killed
		log.Close()
	})
	c.servers = append(c.servers, cmd)
	return cmd
}

// startJobServer starts Beam's job server, which has two more ports than that of jobs.
func (c *cluster) startJobServer(t testing.TB, class string, ports []string, args ...string) {
	t.Helper()
	c.jobs = "127.0.0.1:" + ports[0]
	c.start(t, "job server", 512, class, append(args, "--job-host", "127.0.0.1", "--job-port", ports[0],
		"--artifact-port", ports[1], "--expansion-port", ports[2], "--artifacts-dir", filepath.Join(c.dir, "artifacts"))...)
	waitUntil(t, "the job server listens", func() bool { return listens(c.jobs) })
}

func listens(address string) bool {
	conn, err := net.Dial("tcp", address)
	if err == nil {
		conn.Close()
	}
	return err == nil
}

// testTime is how long a group of a test may take.
const testTime = 10 * time.Minute

// askJSON asks a server of the cluster.
func askJSON(url string, answer any) error {
	resp, err := http.Get(url)
	if err != nil {
		return err
	}
	defer resp.Body.Close()
	return json.NewDecoder(resp.Body).Decode(answer)
}

// submission is the program at work.
type submission struct {
	cmd    *exec.Cmd
	output bytes.Buffer
	done   chan error
}

// submit starts vanwright-beam as a user would, with two workers, each a process that
// a process of the cluster starts.
func (c *cluster) submit(t testing.TB, within time.Duration, args ...string) *submission {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), within)
	t.Cleanup(cancel)
	args = append(args, "--runner", c.runner, "--endpoint", c.jobs, "--worker_binary", c.program, "--parallelism", "2",
		"--environment_type", "PROCESS", "--environment_config", fmt.Sprintf(`{"command": %q}`, c.program))
	s := &submission{cmd: exec.CommandContext(ctx, c.program, args...), done: make(chan error, 1)}
	s.cmd.Stdout, s.cmd.Stderr = &s.output, &s.output
	s.cmd.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}
	if err := s.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	go func() { s.done <- s.cmd.Wait() }()
	return s
}

// while looks on until the program ends, and wants that it went well.
func (s *submission) while(t testing.TB, look func()) {
	t.Helper()
	for {
		look()
		select {
		case err := <-s.done:
			s.done <- err
			s.ends(t)
			return
		case <-time.After(50 * time.Millisecond):
		}
	}
}

// ends waits for it and wants that it went well.
func (s *submission) ends(t testing.TB) {
	t.Helper()
	if err := <-s.done; err != nil {
		t.Fatalf("%v\n%s", err, s.output.String())
	}
}

// workers are the processes that the cluster started for the program, by number,
// with the number of the one that started each.
func (c *cluster) workers(t testing.TB) map[int]int {
	t.Helper()
	found := map[int]int{}
	lines, _ := filepath.Glob("/proc/[0-9]*/cmdline")
	for _, file := range lines {
		text, err := os.ReadFile(file)
		if err != nil || !bytes.HasPrefix(text, []byte(c.program+"\x00")) || !bytes.Contains(text, []byte("--provision_endpoint=")) {
			continue
		}
		pid, err := strconv.Atoi(strings.Split(file, "/")[2])
		if err != nil {
			t.Fatal(err)
		}
		if stat, err := statOf(pid); err == nil && stat[0] != "Z" {
			found[pid], _ = strconv.Atoi(stat[1])
		}
	}
	return found
}

// statOf are the fields of /proc/PID/stat from the third, the state, on: proc(5).
func statOf(pid int) ([]string, error) {
	text, err := os.ReadFile(filepath.Join("/proc", strconv.Itoa(pid), "stat"))
	if err != nil {
		return nil, err
	}
	_, rest, _ := strings.Cut(string(text), ") ") // the name may hold anything
	return strings.Fields(rest), nil
}

// tellTrouble shows what the processes said of it.
func (c *cluster) tellTrouble(t testing.TB) {
	logs, _ := filepath.Glob(filepath.Join(c.dir, "*.log"))
	for _, log := range logs {
		text, _ := os.ReadFile(log)
		var said []string
		for line := range strings.Lines(string(text)) {
			if strings.Contains(line, "ERROR") || strings.Contains(line, "Exception") || strings.Contains(line, "vanwright") {
				said = append(said, line[:min(len(line), 300)])
			}
		}
		t.Logf("%s:\n%s", filepath.Base(log), strings.Join(said[max(0, len(said)-20):], "\n"))
	}
}

func waitUntil(t testing.TB, what string, true func() bool) {
	t.Helper()
	for deadline := time.Now().Add(3 * time.Minute); !true(); time.Sleep(50 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatalf("waited in vain until %s", what)
		}
	}
}

// freePorts are ports of the loopback address on which nobody listens.
func freePorts(t testing.TB, n int) []string {
	t.Helper()
	var ports []string
	for range n {
		l, err := net.Listen("tcp", "127.0.0.1:0")
		if err != nil {
			t.Fatal(err)
		}
		defer l.Close()
		_, port, _ := net.SplitHostPort(l.Addr().String())
		ports = append(ports, port)
	}
	return ports
}

// javas are the Java processes of the cluster that are there: those that were started,
// and those that they started.
func (c *cluster) javas(t testing.TB) []int {
	t.Helper()
	var found []int
	lines, _ := filepath.Glob("/proc/[0-9]*/cmdline")
	for _, file := range lines {
		text, err := os.ReadFile(file)
		if err == nil && bytes.Contains(text, []byte("-Djava.io.tmpdir="+c.dir)) {
			pid, err := strconv.Atoi(strings.Split(file, "/")[2])
			if err != nil {
				t.Fatal(err)
			}
			found = append(found, pid)
		}
	}
	return found
}

// javaSeconds is the processor time that they have taken.
func (c *cluster) javaSeconds(t testing.TB) (sum float64) {
	t.Helper()
	for _, pid := range c.javas(t) {
		if s, err := secondsOf(pid); err == nil {
			sum += s
		}
	}
	return sum
}

// secondsOf is the processor time that a process has taken, without those that it
// started.
func secondsOf(pid int) (float64, error) {
	stat, err := statOf(pid)
	if err != nil {
		return 0, err
	}
	user, errUser := strconv.Atoi(stat[11])
	system, errSystem := strconv.Atoi(stat[12])
	return float64(user+system) / 100, errors.Join(errUser, errSystem) // in hundredths on every Linux
}
