import ca.uhn.fhir.util.VersionUtil;
import java.io.IOException;
import java.lang.management.ManagementFactory;
import java.nio.charset.StandardCharsets;
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
 * <pre>Judge --guide FOLDER... --expected FILE [--faults FILE FOLDER | --listed] [--counts FILE] FILE-OR-FOLDER... [--together FILE-OR-FOLDER...]
 * Judge [--guide FOLDER...] [--plain] --told FILE FILE-OR-FOLDER...</pre>
 *
 * The second form decides nothing: it writes every error and warning as a line of a table, for
 * others to compare. With --plain it is the engine by itself, without what is asked for apart.
 * --counts writes what does not differ from run to run.
 *
 * <p>Bundles behind --together are judged as they are and not taken apart: their resources stand
 * alone in lines beside them.
 *
 * <p>Ends with 1 where an error, an unlisted warning, an unused line of the list or an unseen fault
 * was met, with 2 where it could not do its work.
 */
public final class Judge {
  private final List<Path> guide = new ArrayList<>();
  private final List<Item> items = new ArrayList<>();
  private Expected expected;
  private List<Faults.Fault> faults = List.of();
  private boolean whole; // with --faults or --listed: the list must be used up
  private boolean plain;
  private boolean together;
  private Path told;
  private Path counted;

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
        case "--plain" -> plain = true;
        case "--together" -> together = true;
        case "--told" -> told = Path.of(args[++i]);
        case "--counts" -> counted = Path.of(args[++i]);
        default -> {
          for (Path file : files(Path.of(args[i]), ".json", ".ndjson")) {
            items.addAll(itemsOf(file, !together));
          }
        }
      }
    }
    if (expected == null && told == null || items.isEmpty()) {
      throw new IllegalArgumentException("a list of expected warnings, or --told, and files are wanted");
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
  private record Item(String name, String text, boolean apart) {}

  private static List<Item> itemsOf(Path file, boolean apart) throws IOException {
    if (!file.toString().endsWith(".ndjson")) {
      return List.of(new Item(file.toString(), textOf(file), apart));
    }
    List<Item> lines = new ArrayList<>();
    for (String line : textOf(file).lines().toList()) {
      lines.add(new Item(file + " line " + (lines.size() + 1), line, apart));
    }
    return lines;
  }

  /** The text of a file; bytes that are no UTF-8, which a mutation may have, are replaced. */
  private static String textOf(Path file) throws IOException {
    return new String(Files.readAllBytes(file), StandardCharsets.UTF_8);
  }

  private void run() throws IOException {
    long start = System.nanoTime();
    Engine engine = new Engine(guide);
    double ready = seconds(start);

    long first = System.nanoTime();
    double before = cpuSeconds();
    List<List<Finding>> found = judge(items, item -> findings(engine, item));
    double each = seconds(first) / items.size();
    double worked = (cpuSeconds() - before) / items.size();
    if (told != null) {
      Told.write(told, items.stream().map(Item::name).toList(), found);
    } else {
      decide(engine, found);
    }
    counts.forEach((what, count) -> System.out.printf("%6d  %s%n", count, what));
    String times =
        String.format(
            "engine %s; %d resources, %d faults; ready in %.1f s, %.3f s each (CPU %.3f s), %.1f s in all",
            VersionUtil.getVersion(), items.size(), faults.size(), ready, each, worked, seconds(start));
    System.out.println(times);
    if (told == null) {
      System.out.printf("conformance: %d passed, %d failed%n", passed, failed);
    }
    if (counted != null) {
      writeCounts();
      Files.writeString(counted.resolveSibling("times.txt"), times + "\n");
    }
  }

  private List<Finding> findings(Engine engine, Item item) {
    return plain ? engine.messages(item.text()) : engine.findings(item.text(), item.apart());
  }

  private void decide(Engine engine, List<List<Finding>> found) {
    for (int i = 0; i < items.size(); i++) {
      tell(items.get(i).name(), found.get(i));
    }
    List<List<Finding>> seen = judge(faults, fault -> engine.findings(fault.resource(), true));
    for (int i = 0; i < faults.size(); i++) {
      tell(faults.get(i), seen.get(i));
    }
    if (whole) {
      expected.unused().forEach(this::fail);
    }
  }

  /** What of the outcome is the same in every run. */
  private void writeCounts() throws IOException {
    StringBuilder text = new StringBuilder();
    text.append("engine\t").append(VersionUtil.getVersion()).append('\n');
    long lines = items.stream().filter(item -> item.name().contains(".ndjson line ")).count();
    text.append("bundles\t").append(items.size() - lines).append('\n');
    text.append("lines\t").append(lines).append('\n');
    text.append("faults\t").append(faults.size()).append('\n');
    text.append("passed\t").append(passed).append('\n');
    text.append("failed\t").append(failed).append('\n');
    counts.forEach((what, count) -> text.append(what).append('\t').append(count).append('\n'));
    Files.writeString(counted, text);
  }

  private static double cpuSeconds() {
    var system = (com.sun.management.OperatingSystemMXBean) ManagementFactory.getOperatingSystemMXBean();
    return system.getProcessCpuTime() / 1e9;
  }

  private static double seconds(long since) {
    return (System.nanoTime() - since) / 1e9;
  }

  /** Findings of each item, in the order of the items; all cores work. */
  private static <T> List<List<Finding>> judge(List<T> items, Function<T, List<Finding>> findings) {
    return items.parallelStream().map(findings).toList();
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
