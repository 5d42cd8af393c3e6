import ca.uhn.fhir.context.FhirContext;
import ca.uhn.fhir.context.support.DefaultProfileValidationSupport;
import ca.uhn.fhir.context.support.ValidationSupportContext;
import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.TreeMap;
import java.util.TreeSet;
import org.hl7.fhir.common.hapi.validation.support.PrePopulatedValidationSupport;
import org.hl7.fhir.common.hapi.validation.support.SnapshotGeneratingValidationSupport;
import org.hl7.fhir.common.hapi.validation.support.ValidationSupportChain;
import org.hl7.fhir.r4.model.ElementDefinition;
import org.hl7.fhir.r4.model.StructureDefinition;

/**
 * Compares the snapshots of a package with those that the reference engine makes of the same
 * differentials: which elements there are, in which order, and what each demands. Ends with 1 where
 * they differ.
 */
public final class Snapshots {
  private Snapshots() {}

  public static void main(String[] args) throws IOException {
    Locale.setDefault(Locale.ROOT);
    FhirContext context = FhirContext.forR4();
    List<StructureDefinition> ours = new ArrayList<>();
    for (String text : Engine.packed(Path.of(args[0]))) {
      if (context.newJsonParser().parseResource(text) instanceof StructureDefinition d) {
        ours.add(d);
      }
    }
    PrePopulatedValidationSupport known = new PrePopulatedValidationSupport(context);
    ours.forEach(known::addStructureDefinition);
    SnapshotGeneratingValidationSupport maker = new SnapshotGeneratingValidationSupport(context);
    ValidationSupportChain chain =
        new ValidationSupportChain(known, new DefaultProfileValidationSupport(context), maker);

    int elements = 0;
    int differences = 0;
    for (StructureDefinition d : ours) {
      StructureDefinition plain = d.copy();
      plain.setSnapshot(null);
      var made =
          (StructureDefinition)
              maker.generateSnapshot(
                  new ValidationSupportContext(chain), plain, d.getUrl(), null, d.getName());
      Map<String, String> theirs = demands(made);
      Map<String, String> own = demands(d);
      elements += own.size();
      if (!new ArrayList<>(order(d)).equals(order(made))) {
        System.out.println(d.getId() + ": other elements, or in another order: " + order(d) + " | " + order(made));
        differences++;
      }
      for (String id : own.keySet()) {
        if (!own.get(id).equals(theirs.get(id))) {
          System.out.printf("%s %s%n  ours   %s%n  theirs %s%n", d.getId(), id, own.get(id), theirs.get(id));
          differences++;
        }
      }
    }
    System.out.printf(
        "snapshots: %d definitions, %d elements, %d differences%n", ours.size(), elements, differences);
    System.exit(differences == 0 && !ours.isEmpty() ? 0 : 1);
  }

  private static List<String> order(StructureDefinition d) {
    return d.getSnapshot().getElement().stream().map(ElementDefinition::getId).toList();
  }

  /** What each element demands, as text. */
  private static Map<String, String> demands(StructureDefinition d) {
    Map<String, String> all = new TreeMap<>();
    for (ElementDefinition e : d.getSnapshot().getElement()) {
      TreeSet<String> types = new TreeSet<>();
      e.getType()
          .forEach(t -> types.add(t.getCode() + t.getProfile().stream().map(p -> p.getValue()).toList() + t.getTargetProfile().stream().map(p -> p.getValue()).sorted().toList()));
      TreeSet<String> constraints = new TreeSet<>();
      e.getConstraint().forEach(c -> constraints.add(c.getKey() + " " + c.getExpression()));
      all.put(
          e.getId(),
          String.join(
              " ",
              e.getPath(), String.valueOf(e.getSliceName()), e.getMin() + ".." + e.getMax(),
              e.getBase().getPath() + " " + e.getBase().getMin() + ".." + e.getBase().getMax(),
              types.toString(), e.hasFixed() ? e.getFixed().primitiveValue() : "",
              e.hasBinding() ? e.getBinding().getStrength() + " " + e.getBinding().getValueSet() : "",
              e.hasSlicing() ? e.getSlicing().getRules() + " " + e.getSlicing().getDiscriminator().stream().map(x -> x.getType() + x.getPath()).toList() : "",
              constraints.toString(), "must support " + e.getMustSupport(), String.valueOf(e.getShort())));
    }
    return all;
  }
}
