import ca.uhn.fhir.context.FhirContext;
import ca.uhn.fhir.context.support.ConceptValidationOptions;
import ca.uhn.fhir.context.support.DefaultProfileValidationSupport;
import ca.uhn.fhir.context.support.IValidationSupport;
import ca.uhn.fhir.context.support.ValidationSupportContext;
import ca.uhn.fhir.validation.FhirValidator;
import com.google.gson.JsonParseException;
import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;
import org.hl7.fhir.common.hapi.validation.support.CommonCodeSystemsTerminologyService;
import org.hl7.fhir.common.hapi.validation.support.InMemoryTerminologyServerValidationSupport;
import org.hl7.fhir.common.hapi.validation.support.PrePopulatedValidationSupport;
import org.hl7.fhir.common.hapi.validation.support.SnapshotGeneratingValidationSupport;
import org.hl7.fhir.common.hapi.validation.support.UnknownCodeSystemWarningValidationSupport;
import org.hl7.fhir.common.hapi.validation.support.ValidationSupportChain;
import org.hl7.fhir.common.hapi.validation.validator.FhirInstanceValidator;
import org.hl7.fhir.instance.model.api.IBaseResource;
import org.hl7.fhir.r5.elementmodel.Element;
import org.hl7.fhir.r5.model.CanonicalResource;
import org.hl7.fhir.r5.model.CanonicalType;
import org.hl7.fhir.r5.utils.validation.IResourceValidator;
import org.hl7.fhir.r5.utils.validation.IValidatorResourceFetcher;
import org.hl7.fhir.r5.utils.validation.constants.BestPracticeWarningLevel;
import org.hl7.fhir.r5.utils.validation.constants.ReferenceValidationPolicy;
import org.hl7.fhir.utilities.npm.NpmPackage;
import org.hl7.fhir.validation.instance.advisor.BasePolicyAdvisorForFullValidation;

/** The reference validation engine, offline, at its strictest. */
final class Engine {
  private final FhirValidator validator;
  private final ValidationSupportChain terms;
  private final Map<String, List<Finding>> alone = new ConcurrentHashMap<>(); // by text

  /** Reads the guide, all JSON files of some folders and packages, and makes the engine ready. */
  Engine(List<Path> guide) throws IOException {
    FhirContext context = FhirContext.forR4();
    ValidationSupportChain chain =
        new ValidationSupportChain(
            loaded(context, guide),
            new DefaultProfileValidationSupport(context),
            new CommonCodeSystemsTerminologyService(context),
            new DisplaysToo(context),
            new SnapshotGeneratingValidationSupport(context),
            unknownSystemsWarn(context));
    // A binding asks for one coding of a concept, not for every one of them.
    chain.setCodeableConceptValidationSuccessfulIfNotAllCodingsAreValid(true);
    terms = chain;

    FhirInstanceValidator module = new FhirInstanceValidator(chain);
    module.setErrorForUnknownProfiles(true);
    module.setAnyExtensionsAllowed(false);
    module.setBestPracticeWarningLevel(BestPracticeWarningLevel.Warning);
    // Without this advisor no vital-signs profile is applied by LOINC code, and with
    // it the engine demands a fetcher.
    module.setValidatorPolicyAdvisor(
        new BasePolicyAdvisorForFullValidation(
            ReferenceValidationPolicy.CHECK_TYPE_IF_EXISTS, Set.of()));
    module.setValidatorResourceFetcher(new FetchesNothing());
    validator = context.newValidator().registerValidatorModule(module);

    // The first use loads the definitions.
    messages("{\"resourceType\":\"Basic\",\"code\":{\"text\":\"first\"}}");
  }

  /**
   * Judges a resource by its text (a parse would hide faults of the text), then each resource of a
   * bundle alone where it is to be taken apart, since some warnings are lost where one resource
   * refers to another, and each coding alone, since the engine is content with one good coding of a
   * concept.
   */
  List<Finding> findings(String text, boolean apart) {
    List<Finding> found = new ArrayList<>(messages(text));
    Tree tree;
    try {
      tree = new Tree(text);
    } catch (JsonParseException e) {
      return found; // the engine threw and has said why
    }
    for (Tree.Coding c : tree.codings()) {
      coding(c).ifPresent(found::add);
    }
    for (Tree.Part part : apart ? tree.entries() : List.<Tree.Part>of()) {
      for (Finding f : alone.computeIfAbsent(part.text(), this::messages)) {
        if (found.stream().noneMatch(known -> known.tellsOf(part.place(), f))) {
          found.add(f.at(part.place() + " alone"));
        }
      }
    }
    return found;
  }

  /** What the engine says by itself. */
  List<Finding> messages(String text) {
    try {
      return validator.validateWithResult(text).getMessages().stream().map(Finding::of).toList();
    } catch (RuntimeException e) { // as it does where the text is no JSON
      return List.of(Finding.thrown(e));
    }
  }

  /** What is wrong with a coding: its system, its code or its display. */
  private Optional<Finding> coding(Tree.Coding c) {
    var options = new ConceptValidationOptions().setValidateDisplay(true);
    var result =
        terms.validateCode(
            new ValidationSupportContext(terms), options, c.system(), c.code(), c.display(), null);
    String name = c.system() + "#" + c.code();
    if (result == null) {
      return Optional.of(Finding.error("Coding_Unknown_System", c.place(), name));
    }
    if (result.isOk() && result.getSeverity() == null) {
      return Optional.empty();
    }
    return Optional.of(Finding.error("Coding", c.place(), name + ": " + result.getMessage()));
  }

  private static IValidationSupport loaded(FhirContext context, List<Path> folders)
      throws IOException {
    PrePopulatedValidationSupport support = new PrePopulatedValidationSupport(context);
    for (Path folder : folders) {
      for (String text : folder.toString().endsWith(".tgz") ? packed(folder) : loose(folder)) {
        IBaseResource resource = context.newJsonParser().parseResource(text);
        switch (resource.fhirType()) {
          case "CodeSystem" -> support.addCodeSystem(resource);
          case "ValueSet" -> support.addValueSet(resource);
          case "StructureDefinition" -> support.addStructureDefinition(resource);
          default -> {} // examples that lie beside profiles
        }
      }
    }
    return support;
  }

  private static List<String> loose(Path folder) throws IOException {
    List<String> texts = new ArrayList<>();
    for (Path file : Judge.jsonFiles(folder)) {
      texts.add(Files.readString(file));
    }
    return texts;
  }

  /** The definitions of a FHIR package, as tools that know packages read it: by its index. */
  static List<String> packed(Path file) throws IOException {
    NpmPackage guide;
    try (InputStream in = Files.newInputStream(file)) {
      guide = NpmPackage.fromPackage(in);
    }
    List<String> texts = new ArrayList<>();
    for (String name : guide.listResources("CodeSystem", "StructureDefinition", "ValueSet")) {
      try (InputStream in = guide.load("package", name)) {
        texts.add(new String(in.readAllBytes(), StandardCharsets.UTF_8));
      }
    }
    if (texts.isEmpty()) {
      throw new IOException(file + " holds no definition");
    }
    return texts;
  }

  private static IValidationSupport unknownSystemsWarn(FhirContext context) {
    var support = new UnknownCodeSystemWarningValidationSupport(context);
    support.setNonExistentCodeSystemSeverity(IValidationSupport.IssueSeverity.WARNING);
    return support;
  }

  /** Terminology in memory that compares displays, which the engine never asks for. */
  private static final class DisplaysToo extends InMemoryTerminologyServerValidationSupport {
    DisplaysToo(FhirContext context) {
      super(context);
      setIssueSeverityForCodeDisplayMismatch(IssueSeverity.ERROR);
    }

    @Override
    public CodeValidationResult validateCode(
        ValidationSupportContext context,
        ConceptValidationOptions options,
        String system,
        String code,
        String display,
        String valueSet) {
      options.setValidateDisplay(true);
      return super.validateCode(context, options, system, code, display, valueSet);
    }

    @Override
    public CodeValidationResult validateCodeInValueSet(
        ValidationSupportContext context,
        ConceptValidationOptions options,
        String system,
        String code,
        String display,
        IBaseResource valueSet) {
      options.setValidateDisplay(true);
      return super.validateCodeInValueSet(context, options, system, code, display, valueSet);
    }
  }

  /** Answers for what lies outside a bundle: every address may exist, none is read. */
  private static final class FetchesNothing implements IValidatorResourceFetcher {
    @Override
    public boolean resolveURL(
        IResourceValidator validator,
        Object context,
        String path,
        String url,
        String type,
        boolean canonical,
        List<CanonicalType> targets) {
      return true;
    }

    @Override
    public Element fetch(IResourceValidator validator, Object context, String url) {
      return null;
    }

    @Override
    public byte[] fetchRaw(IResourceValidator validator, String url) {
      return null;
    }

    @Override
    public IValidatorResourceFetcher setLocale(Locale locale) {
      return this;
    }

    @Override
    public CanonicalResource fetchCanonicalResource(
        IResourceValidator validator, Object context, String url) {
      return null;
    }

    @Override
    public boolean fetchesCanonicalResource(IResourceValidator validator, String url) {
      return false;
    }

    @Override
    public Set<ResourceVersionInformation> fetchCanonicalResourceVersions(
        IResourceValidator validator, Object context, String url) {
      return Set.of();
    }
  }
}
