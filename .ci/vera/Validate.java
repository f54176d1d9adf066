// Validate PDF files with the veraPDF library: java Validate FLAVOUR[,FLAVOUR] FILE...
// A tool of the CI only. Prints each broken rule once a file; exits 1 when any file breaks one.
import java.io.FileInputStream;
import java.util.LinkedHashMap;
import java.util.Map;
import org.verapdf.gf.foundry.VeraGreenfieldFoundryProvider;
import org.verapdf.pdfa.Foundries;
import org.verapdf.pdfa.PDFAParser;
import org.verapdf.pdfa.PDFAValidator;
import org.verapdf.pdfa.flavours.PDFAFlavour;
import org.verapdf.pdfa.results.TestAssertion;
import org.verapdf.pdfa.results.ValidationResult;

public class Validate {
  public static void main(String[] words) throws Exception {
    VeraGreenfieldFoundryProvider.initialise();
    boolean good = true;
    int checks = 0;
    for (int i = 1; i < words.length; i++) {
      for (String name : words[0].split(",")) {
        PDFAFlavour flavour = PDFAFlavour.byFlavourId(name);
        try (PDFAParser parser =
                Foundries.defaultInstance().createParser(new FileInputStream(words[i]), flavour);
            PDFAValidator validator =
                Foundries.defaultInstance().createValidator(flavour, false)) {
          ValidationResult result = validator.validate(parser);
          checks++;
          good &= result.isCompliant();
          Map<String, String> broken = new LinkedHashMap<>();
          for (TestAssertion one : result.getTestAssertions()) {
            if (one.getStatus() != TestAssertion.Status.PASSED) {
              broken.putIfAbsent(one.getRuleId().toString(), one.getMessage());
            }
          }
          broken.forEach(
              (rule, message) -> System.out.println(name + " " + rule + ": " + message));
          System.out.println(
              (result.isCompliant() ? "pass " : "FAIL ") + name + " " + words[i]);
        }
      }
    }
    System.out.println(checks + " validations");
    System.exit(good && checks > 0 ? 0 : 1);
  }
}
