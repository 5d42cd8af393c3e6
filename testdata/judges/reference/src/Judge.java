import ca.uhn.fhir.util.VersionUtil;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.TreeMap;
import java.util.function.Function;

/**
 * Judges FHIR resources by the reference engine and tells every finding that no list excuses.
 *
 * <pre>Judge --guide FOLDER... --expected FILE [--faults FILE FOLDER] FILE-OR-FOLDER...</pre>
 *
 * Ends with 1 where an error, an unlisted warning, an unused line of the list or an unseen fault
 * was met, with 2 where it could not do its work.
 */
public final class Judge {
  private final List<Path> guide = new ArrayList<>();
  private final List<Path> files = new ArrayList<>();
  private Expected expected;
  private List<Faults.Fault> faults = List.of();
  private boolean whole; // with --faults: the list must be used up

  private final Map<String, Integer> counts = new TreeMap<>();
  private int passed;
  private int failed;

  public static void main(String[] args) {
    Locale.setDefault(Locale.ROOT);
    try {
      Judge judge = new Judge(args);
      judge.run();
      System.exit(judge.failed == 0 ? 0 : 1);
    } catch (IOException | IllegalArgumentException e) {
      System.err.println("judge: " + e);
      System.exit(2);
    }
  }

  private Judge(String[] args) throws IOException {
    for (int i = 0; i < args.length; i++) {
      switch (args[i]) {
        case "--guide" -> guide.add(Path.of(args[++i]));
        case "--expected" -> expected = new Expected(Path.of(args[++i]));
        case "--faults" -> {
          faults = Faults.read(Path.of(args[++i]), Path.of(args[++i]));
          whole = true;
        }
        default -> files.addAll(jsonFiles(Path.of(args[i])));
      }
    }
    if (expected == null || files.isEmpty()) {
      throw new IllegalArgumentException("a list of expected warnings and files are wanted");
    }
  }

  /** The JSON files of a folder in the order of their names, or the file itself. */
  static List<Path> jsonFiles(Path at) throws IOException {
    if (Files.isRegularFile(at)) {
      return List.of(at);
    }
    try (var list = Files.list(at)) {
      return list.filter(file -> file.toString().endsWith(".json")).sorted().toList();
    }
  }

  private void run() throws IOException {
    long start = System.nanoTime();
    Engine engine = new Engine(guide);
    double ready = seconds(start);

    List<String> texts = new ArrayList<>();
    for (Path file : files) {
      texts.add(Files.readString(file));
    }
    long first = System.nanoTime();
    List<List<Finding>> found = judge(engine, texts, text -> text);
    double each = seconds(first) / files.size();
    for (int i = 0; i < files.size(); i++) {
      tell(files.get(i), found.get(i));
    }
    List<List<Finding>> seen = judge(engine, faults, Faults.Fault::resource);
    for (int i = 0; i < faults.size(); i++) {
      tell(faults.get(i), seen.get(i));
    }
    if (whole) {
      expected.unused().forEach(this::fail);
    }

    counts.forEach((what, count) -> System.out.printf("%6d  %s%n", count, what));
    System.out.printf(
        "engine %s; %d files, %d faults; ready in %.1f s, %.2f s a file, %.1f s in all%n",
        VersionUtil.getVersion(), files.size(), faults.size(), ready, each, seconds(start));
    System.out.printf("conformance: %d passed, %d failed%n", passed, failed);
  }

  private static double seconds(long since) {
    return (System.nanoTime() - since) / 1e9;
  }

  /** Findings of each item, in the order of the items; all cores work. */
  private static <T> List<List<Finding>> judge(
      Engine engine, List<T> items, Function<T, String> resource) {
    return items.parallelStream().map(item -> engine.findings(resource.apply(item))).toList();
  }

  private void tell(Path file, List<Finding> findings) {
    boolean clean = true;
    for (Finding f : findings) {
      boolean known = expected.holds(f);
      String name = f.severity().name().toLowerCase(Locale.ROOT) + (known ? ", listed " : " ");
      counts.merge(name + f.id(), 1, Integer::sum);
      if (f.severity() != Finding.Severity.INFORMATION && !known) {
        System.out.println(file + ":" + f);
        clean = false;
      }
    }
    if (clean) {
      passed++;
    } else {
      failed++;
    }
  }

  private void tell(Faults.Fault fault, List<Finding> findings) {
    if (Faults.named(fault, findings)) {
      passed++;
      return;
    }
    fail("fault not named: " + fault.name() + ": no error says: " + fault.wanted());
    findings.stream()
        .filter(f -> f.severity() != Finding.Severity.INFORMATION)
        .forEach(f -> System.out.println("  said: " + f));
  }

  private void fail(String why) {
    System.out.println(why);
    failed++;
  }
}
