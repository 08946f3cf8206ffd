package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// sparkJars is the variable that names the folder of Spark's and Beam's jars, which
// .ci/engines fetches.
const sparkJars = "VANWRIGHT_SPARK_JARS"

// spark is a real Spark: a master and two of its workers, each of which starts an
// executor of one core for each job, and Beam's job server, in which the jobs' driver
// is.
type spark struct {
	*cluster
	web string // address at which the master says what it has
}

// startSpark starts it and waits until it takes work. It ends with the test.
func startSpark(t testing.TB) *spark {
	t.Helper()
	s := &spark{cluster: newCluster(t, "spark", sparkJars)}
	home := filepath.Join(s.dir, "home") // executors are started with the jars in it
	jars, err := filepath.Abs(os.Getenv(sparkJars))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(home, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(jars, filepath.Join(home, "jars")); err != nil {
		t.Fatal(err)
	}
	s.env = []string{"SPARK_SCALA_VERSION=2.12", "SPARK_HOME=" + home, "SPARK_LOCAL_DIRS=" + filepath.Join(s.dir, "temp"), "SPARK_LOCAL_IP=127.0.0.1"}
	ports := freePorts(t, 7)
	master := "spark://127.0.0.1:" + ports[0]
	s.web = "127.0.0.1:" + ports[1]
	s.start(t, "master", 256, "org.apache.spark.deploy.master.Master", "--host", "127.0.0.1", "--port", ports[0], "--webui-port", ports[1])
	waitUntil(t, "the master listens", func() bool { return listens("127.0.0.1:"+ports[0]) && listens(s.web) })
	for i := range 2 {
		name := fmt.Sprintf("worker %d", i+1)
		s.start(t, name, 256, "org.apache.spark.deploy.worker.Worker", "--host", "127.0.0.1", "--webui-port", ports[2+i],
			"--cores", "1", "--memory", "1g", "--work-dir", filepath.Join(s.dir, name), master)
	}
	s.options = []string{"-Dspark.executor.memory=512m", "-Dspark.driver.host=127.0.0.1", "-Dspark.ui.enabled=false", "-Dspark.executor.extraJavaOptions=-Djava.io.tmpdir=" + filepath.Join(s.dir, "temp")}
	s.startJobServer(t, "org.apache.beam.runners.spark.SparkJobServerDriver", ports[4:], "--spark-master-url", master)
	waitUntil(t, "both workers have reported for work", func() bool { return s.alive() == 2 })
	return s
}

// alive counts the workers that the master has.
func (s *spark) alive() int {
	var told struct{ Aliveworkers int }
	if err := askJSON("http://"+s.web+"/json/", &told); err != nil {
		return 0
	}
	return told.Aliveworkers
}

// executors are the processes that do the work of a job.
func (s *spark) executors(t *testing.T) (found []int) {
	t.Helper()
	for _, pid := range s.javas(t) {
		text, err := os.ReadFile(fmt.Sprintf("/proc/%d/cmdline", pid))
		if err == nil && strings.Contains(string(text), "CoarseGrainedExecutorBackend") {
			found = append(found, pid)
		}
	}
	return found
}
