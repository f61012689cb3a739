// A plug-in for clang-tidy 14 that lets its checks walk the project's own declarations alone.
// Without it they walk those of every system header too, only to drop what they find there, and
// that is most of their time.

#include <memory>
#include <string>
#include <vector>

#include <clang/AST/ASTConsumer.h>
#include <clang/AST/ASTContext.h>
#include <clang/AST/Decl.h>
#include <clang/Basic/SourceManager.h>
#include <clang/Frontend/CompilerInstance.h>
#include <clang/Frontend/FrontendAction.h>
#include <clang/Frontend/FrontendPluginRegistry.h>

namespace {

class OwnCode : public clang::ASTConsumer {
  void HandleTranslationUnit(clang::ASTContext& context) override {
    const clang::SourceManager& sources = context.getSourceManager();
    std::vector<clang::Decl*> own;
    for (clang::Decl* declaration : context.getTranslationUnitDecl()->decls()) {
      const clang::SourceLocation place = sources.getExpansionLoc(declaration->getLocation());
      if (place.isValid() && !sources.isInSystemHeader(place)) {
        own.push_back(declaration);
      }
    }
    context.setTraversalScope(own);
  }
};

// Runs before the checks do.
class OwnCodeAction : public clang::PluginASTAction {
  std::unique_ptr<clang::ASTConsumer> CreateASTConsumer(clang::CompilerInstance& /*compiler*/,
                                                        llvm::StringRef /*file*/) override {
    return std::make_unique<OwnCode>();
  }
  bool ParseArgs(const clang::CompilerInstance& /*compiler*/,
                 const std::vector<std::string>& /*arguments*/) override {
    return true;
  }
  ActionType getActionType() override { return AddBeforeMainAction; }
};

const clang::FrontendPluginRegistry::Add<OwnCodeAction> own_code{"own-code",
                                                                 "own declarations alone"};

}  // namespace
