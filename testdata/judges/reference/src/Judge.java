import ca.uhn.fhir.util.VersionUtil;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.TreeMap;
import java.util.function.Function;

/**
 * Judges FHIR resources by the reference engine and tells every finding that no list excuses.
 *
 * <pre>Judge --guide FOLDER... --expected FILE [--faults FILE FOLDER | --listed] FILE-OR-FOLDER...</pre>
 *
 * Ends with 1 where an error, an unlisted warning, an unused line of the list or an unseen fault
 * was met, with 2 where it could not do its work.
 */
public final class Judge {
  private final List<Path> guide = new ArrayList<>();
  private final List<Item> items = new ArrayList<>();
  private Expected expected;
  private List<Faults.Fault> faults = List.of();
  private boolean whole; // with --faults or --listed: the list must be used up

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
        case "--listed" -> {
          whole = true;
          expected.letErrors();
        }
        case "--expected" -> expected = new Expected(Path.of(args[++i]));
        case "--faults" -> {
          faults = Faults.read(Path.of(args[++i]), Path.of(args[++i]));
          whole = true;
        }
        default -> {
          for (Path file : files(Path.of(args[i]), ".json", ".ndjson")) {
            items.addAll(itemsOf(file));
          }
        }
      }
    }
    if (expected == null || items.isEmpty()) {
      throw new IllegalArgumentException("a list of expected warnings and files are wanted");
    }
  }

  /** The JSON files of a folder in the order of their names, or the file itself. */
  static List<Path> jsonFiles(Path at) throws IOException {
    return files(at, ".json");
  }

  private static List<Path> files(Path at, String... endings) throws IOException {
    if (Files.isRegularFile(at)) {
      return List.of(at);
    }
    try (var list = Files.list(at)) {
      return list.filter(f -> Arrays.stream(endings).anyMatch(f.toString()::endsWith))
          .sorted()
          .toList();
    }
  }

  /** A resource: a file, or a line of one. */
  private record Item(String name, String text) {}

  private static List<Item> itemsOf(Path file) throws IOException {
    if (!file.toString().endsWith(".ndjson")) {
      return List.of(new Item(file.toString(), Files.readString(file)));
    }
    List<Item> lines = new ArrayList<>();
    for (String line : Files.readAllLines(file)) {
      lines.add(new Item(file + " line " + (lines.size() + 1), line));
    }
    return lines;
  }

  private void run() throws IOException {
    long start = System.nanoTime();
    Engine engine = new Engine(guide);
    double ready = seconds(start);

    long first = System.nanoTime();
    List<List<Finding>> found = judge(engine, items, Item::text);
    double each = seconds(first) / items.size();
    for (int i = 0; i < items.size(); i++) {
      tell(items.get(i).name(), found.get(i));
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
        "engine %s; %d resources, %d faults; ready in %.1f s, %.2f s each, %.1f s in all%n",
        VersionUtil.getVersion(), items.size(), faults.size(), ready, each, seconds(start));
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

  private void tell(String name, List<Finding> findings) {
    boolean clean = true;
    for (Finding f : findings) {
      boolean known = expected.holds(f);
      String kind = f.severity().name().toLowerCase(Locale.ROOT) + (known ? ", listed " : " ");
      counts.merge(kind + f.id(), 1, Integer::sum);
      if (f.severity() != Finding.Severity.INFORMATION && !known) {
        System.out.println(name + ":" + f);
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
