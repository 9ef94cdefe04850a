"""The benchmarks are scripts that import each other from their folder: none is collected."""

collect_ignore_glob = ["[!t]*.py"]
